"use client";

import { SectionLinks } from "@/components/section-links";
import { useStudy } from "@/features/study/study-context";

/** The sections of the Volunteers screen. */
export function VolunteerSections() {
  const { studyId } = useStudy();
  return (
    <SectionLinks
      label="Volunteers and their consent"
      links={[
        { label: "List of volunteers", href: `/studies/${studyId}/volunteers` },
        { label: "Invitation", href: `/studies/${studyId}/invitation` },
        { label: "Consent forms", href: `/studies/${studyId}/consent` },
        { label: "Retention", href: `/studies/${studyId}/retention` },
      ]}
    />
  );
}
