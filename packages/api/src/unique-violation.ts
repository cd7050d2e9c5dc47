import { Prisma } from "@acral/db";

/** Whether a write was refused because something with this name, code or content is there already. */
export function isUniqueViolation(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2002";
}
