"use client";

import { SectionLinks } from "@/components/section-links";
import { useStudy } from "@/features/study/study-context";

/** The two sections of the Trials screen. */
export function TrialSections() {
  const { studyId } = useStudy();
  return (
    <SectionLinks
      label="Trials and how their files are read"
      links={[
        { label: "List of trials", href: `/studies/${studyId}/trials` },
        { label: "Column maps", href: `/studies/${studyId}/column-maps` },
      ]}
    />
  );
}
