import "server-only";

interface Attachment {
  readonly name: string;
  /** Null when it is not known before the last byte. */
  readonly sizeBytes: number | null;
}

/** A file to be saved, never shown: its bytes as they are, whatever its name pretends to be. */
export function attachment(body: AsyncIterable<Uint8Array>, { name, sizeBytes }: Attachment): Response {
  // RFC 6266: a plain name for old readers, and the exact one percent-encoded as RFC 8187 says.
  const plain = name.replace(/[^\w.\- ]/g, "_");
  const exact = encodeURIComponent(name).replace(/['()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16)}`);
  return new Response(streamOf(body), {
    headers: {
      "Content-Type": "application/octet-stream",
      ...(sizeBytes === null ? {} : { "Content-Length": String(sizeBytes) }),
      "Content-Disposition": `attachment; filename="${plain}"; filename*=UTF-8''${exact}`,
      "Cache-Control": "no-store",
      "X-Content-Type-Options": "nosniff",
    },
  });
}

function streamOf(body: AsyncIterable<Uint8Array>): ReadableStream<Uint8Array> {
  const source = body[Symbol.asyncIterator]();
  return new ReadableStream({
    async pull(controller) {
      const next = await source.next();
      if (next.done === true) controller.close();
      else controller.enqueue(next.value);
    },
    async cancel() {
      await source.return?.();
    },
  });
}
