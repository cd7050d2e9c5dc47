import { randomBytes } from "node:crypto";
import { z } from "zod";

declare const studyIdBrand: unique symbol;
/** A study that the signed-in person may enter. Made only by the access check. */
export type StudyId = string & { readonly [studyIdBrand]: true };

/** 120 random bits in 20 URL-safe characters: an identifier in an address reveals nothing and cannot be guessed. */
export function newId(): string {
  return randomBytes(15).toString("base64url");
}

export const idSchema = z.string().min(1).max(64);
