import type { Metadata } from "next";
import type { ReactNode } from "react";
import { SecondFactorNotice } from "@/features/frame/second-factor-notice";
import { StudyFrame } from "@/features/frame/study-frame";
import { findStudy, readStudy } from "@/features/study/read-study";
import { StudyProvider } from "@/features/study/study-context";

interface StudyLayoutProps {
  readonly params: Promise<{ readonly studyId: string }>;
  readonly children: ReactNode;
}

export async function generateMetadata({ params }: StudyLayoutProps): Promise<Metadata> {
  const study = await findStudy((await params).studyId);
  // The not-found page would have no title at all, were it refused here.
  if (study === null) return { title: "Not found" };
  const { title } = study;
  return { title: { default: `${title} · Acral`, template: `%s · ${title} · Acral` } };
}

export default async function StudyLayout({ params, children }: StudyLayoutProps) {
  const { studyId, title, role, leadWithoutSecondFactor } = await readStudy((await params).studyId);
  return (
    <StudyProvider study={{ studyId, title, role }}>
      <StudyFrame studyId={studyId}>
        {leadWithoutSecondFactor && <SecondFactorNotice />}
        {children}
      </StudyFrame>
    </StudyProvider>
  );
}
