import "server-only";
import { AppError } from "@acral/api";
import { notFound } from "next/navigation";
import { cache } from "react";
import { api } from "@/trpc/server";

/** The study of this address, or null when there is none for this person. Read once per request. */
export const findStudy = cache(async (studyId: string) => {
  const { study } = await api();
  try {
    return await study.get({ studyId });
  } catch (error) {
    const cause = error instanceof Error ? error.cause : undefined;
    if (cause instanceof AppError && cause.code === "not-found") return null;
    throw error;
  }
});

/** The same, or the not-found page. */
export async function readStudy(studyId: string) {
  return (await findStudy(studyId)) ?? notFound();
}
