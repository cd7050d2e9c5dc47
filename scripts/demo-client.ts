import { createHash } from "node:crypto";
import type { AppRouter } from "@acral/api";
import { createTRPCClient, httpLink, isTRPCClientError } from "@trpc/client";
import { z } from "zod";

/** The product's own HTTP API, as a client sees it: nothing here knows the database. */
export type Api = ReturnType<typeof createTRPCClient<AppRouter>>;

export interface DemoClient {
  readonly api: Api;
  /** Sends a source file as a browser does; throws with the server's own words when it is refused. */
  upload(studyId: string, trialId: string, file: { name: string; bytes: Uint8Array }): Promise<UploadAnswer>;
}

const uploadAnswer = z.object({
  sourceFileId: z.string(),
  problem: z.object({ message: z.string() }).nullable(),
});
export type UploadAnswer = z.output<typeof uploadAnswer>;

const refusal = z.object({ message: z.string() });

/** Where the server is reached from this machine, and the address that people type. */
export interface ServerAddress {
  readonly local: string;
  readonly shown: string;
}

/** A client without a person, or with the session cookies of one. */
export function demoClient({ local }: ServerAddress, cookie: string | null = null): DemoClient {
  const headers: Record<string, string> = cookie === null ? {} : { cookie };
  return {
    api: createTRPCClient<AppRouter>({ links: [httpLink({ url: `${local}/api/trpc`, headers })] }),
    async upload(studyId, trialId, { name, bytes }) {
      const response = await fetch(`${local}/api/studies/${studyId}/trials/${trialId}/files`, {
        method: "POST",
        headers: {
          ...headers,
          "Content-Type": "application/octet-stream",
          "X-File-Name": encodeURIComponent(name),
          "X-File-Size": String(bytes.length),
          "X-File-Sha256": createHash("sha256").update(bytes).digest("hex"),
        },
        body: new Uint8Array(bytes),
      });
      const answer: unknown = await response.json();
      if (response.ok) return uploadAnswer.parse(answer);
      const said = refusal.safeParse(answer);
      throw new Error(
        `${name}: ${said.success ? said.data.message : `the server answered ${response.status}`}`,
      );
    },
  };
}

/** Signs in with e-mail and password; null when the two do not belong together. */
export async function signIn(
  address: ServerAddress,
  email: string,
  password: string,
): Promise<DemoClient | null> {
  const response = await fetch(`${address.local}/api/auth/sign-in/email`, {
    method: "POST",
    headers: { "Content-Type": "application/json", Origin: new URL(address.shown).origin },
    body: JSON.stringify({ email, password }),
  });
  if (response.status === 401) return null;
  if (!response.ok) {
    const why =
      response.status === 429 ? "too many attempts; wait a minute" : `the server answered ${response.status}`;
    throw new Error(`Signing in as ${email} did not work: ${why}.`);
  }
  const cookies = response.headers.getSetCookie().map((line) => line.split(";", 1)[0] ?? "");
  return demoClient(address, cookies.join("; "));
}

/** Somebody else changed the same record meanwhile. */
export function isChangedMeanwhile(error: unknown): boolean {
  return isTRPCClientError<AppRouter>(error) && error.data?.appCode === "changed-meanwhile";
}
