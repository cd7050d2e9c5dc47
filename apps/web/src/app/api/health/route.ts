import { createCaller } from "@acral/api";
import { connection } from "next/server";
import { getCore } from "@/server/core";
import { logFailure } from "@/server/log-failure";

/** Answers 200 only when the database answers too. */
export async function GET(): Promise<Response> {
  await connection();
  try {
    await createCaller({ core: await getCore(), actor: null }).account.firstAccountIsOpen();
    return Response.json({ status: "ok" });
  } catch (error) {
    logFailure("health", error);
    return Response.json({ status: "the database does not answer" }, { status: 503 });
  }
}
