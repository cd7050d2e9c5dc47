"use client";

import { mayDo, type StudyAction } from "@acral/api/access";
import { createContext, type ReactNode, use } from "react";

export type Role = Parameters<typeof mayDo>[0];

export interface StudyHere {
  readonly studyId: string;
  readonly title: string;
  readonly role: Role;
}

const StudyContext = createContext<StudyHere | null>(null);

interface StudyProviderProps {
  readonly study: StudyHere;
  readonly children: ReactNode;
}

export function StudyProvider({ study, children }: StudyProviderProps) {
  return <StudyContext value={study}>{children}</StudyContext>;
}

/**
 * The study whose screens these are, and what the person may do in it. `may` only decides what is offered: the server
 * checks every call again.
 */
export function useStudy(): StudyHere & { readonly may: (action: StudyAction) => boolean } {
  const study = use(StudyContext);
  if (study === null) throw new Error("useStudy needs the study layout around it");
  return { ...study, may: (action) => mayDo(study.role, action) };
}
