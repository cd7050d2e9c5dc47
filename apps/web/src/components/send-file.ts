import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex } from "@noble/hashes/utils.js";
import { z } from "zod";

export type SendFailure = "cancelled" | "no connection" | "refused" | "unreadable answer";

/** Why a file did not arrive. `answer` is the server's JSON, if it sent any. */
export class SendFileError extends Error {
  override readonly name = "SendFileError";
  constructor(
    readonly failure: SendFailure,
    message: string,
    readonly status?: number,
    readonly answer?: unknown,
  ) {
    super(message);
  }
}

export interface SendFileOptions {
  readonly url: string;
  readonly method?: "POST" | "PUT";
  readonly headers?: Readonly<Record<string, string>>;
  readonly signal?: AbortSignal;
  /** Bytes that have left, of how many. */
  readonly onProgress?: (loaded: number, total: number) => void;
}

const refusal = z.object({ message: z.string().min(1) });

/**
 * Sends a file as the body of one request, byte for byte, and returns the JSON of the answer. The size goes along, so
 * that the receiver can tell a truncated body from a short file. XMLHttpRequest, because fetch cannot report how much
 * of a body has left.
 */
export function sendFile(file: File, options: SendFileOptions): Promise<unknown> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    const cancel = () => request.abort();
    const settle = (finish: () => void) => {
      options.signal?.removeEventListener("abort", cancel);
      finish();
    };
    if (options.signal?.aborted) {
      reject(new SendFileError("cancelled", "The upload was cancelled. Nothing was kept."));
      return;
    }
    options.signal?.addEventListener("abort", cancel);

    request.upload.onprogress = (event) => {
      if (event.lengthComputable && event.total > 0) options.onProgress?.(event.loaded, event.total);
    };
    request.onabort = () =>
      settle(() => reject(new SendFileError("cancelled", "The upload was cancelled. Nothing was kept.")));
    request.onerror = () =>
      settle(() =>
        reject(
          new SendFileError(
            "no connection",
            `The connection broke before “${file.name}” had arrived. Nothing was kept of it; your file is untouched.`,
          ),
        ),
      );
    request.onload = () =>
      settle(() => {
        let answer: unknown;
        try {
          answer = JSON.parse(request.responseText);
        } catch {
          reject(
            new SendFileError(
              "unreadable answer",
              `The server answered ${request.status} without saying whether it kept “${file.name}”. Reload to see.`,
              request.status,
            ),
          );
          return;
        }
        if (request.status >= 200 && request.status < 300) {
          resolve(answer);
          return;
        }
        const said = refusal.safeParse(answer);
        reject(
          new SendFileError(
            "refused",
            said.success ? said.data.message : `The server refused “${file.name}” (${request.status}).`,
            request.status,
            answer,
          ),
        );
      });

    request.open(options.method ?? "POST", options.url);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("X-File-Name", encodeURIComponent(file.name));
    request.setRequestHeader("X-File-Size", String(file.size));
    for (const [name, value] of Object.entries(options.headers ?? {})) request.setRequestHeader(name, value);
    request.send(file);
  });
}

/** SHA-256 in hexadecimal, piece by piece: the file may be larger than the memory, and the page not on https. */
export async function sha256OfFile(
  file: File,
  signal?: AbortSignal,
  onRead?: (share: number) => void,
): Promise<string> {
  let read = 0;
  const hash = sha256.create();
  const reader = file.stream().getReader();
  try {
    for (let next = await reader.read(); !next.done; next = await reader.read()) {
      if (signal?.aborted === true) {
        throw new SendFileError("cancelled", "The upload was cancelled. Nothing was kept.");
      }
      hash.update(next.value);
      read += next.value.length;
      onRead?.(file.size === 0 ? 1 : read / file.size);
    }
  } finally {
    reader.releaseLock();
  }
  return bytesToHex(hash.digest());
}
