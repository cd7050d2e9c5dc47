import { connect, createServer, type Socket } from "node:net";

/** A line to the server that can be cut: what is under way on it ends at once, as when a cable is pulled. */
export interface BreakableLine {
  readonly address: string;
  cut(): void;
  mend(): void;
  close(): Promise<void>;
}

export async function breakableLine(to: string): Promise<BreakableLine> {
  const { hostname, port } = new URL(to);
  const open = new Set<Socket>();
  let whole = true;
  const line = createServer((near) => {
    if (!whole) {
      near.destroy();
      return;
    }
    const far = connect(Number(port), hostname);
    for (const [one, other] of [
      [near, far],
      [far, near],
    ] as const) {
      open.add(one);
      one.pipe(other);
      // Either end closing closes the other one; a line that was cut is no failure of the test.
      one.on("error", () => other.destroy());
      one.on("close", () => {
        open.delete(one);
        other.destroy();
      });
    }
  });
  await new Promise<void>((resolve) => line.listen(0, "127.0.0.1", resolve));
  const address = line.address();
  if (address === null || typeof address === "string") throw new Error("The line has no port.");
  const cut = () => {
    whole = false;
    for (const socket of open) socket.resetAndDestroy();
  };
  return {
    address: `http://127.0.0.1:${address.port}`,
    cut,
    mend() {
      whole = true;
    },
    close() {
      cut();
      return new Promise((resolve) => line.close(() => resolve()));
    },
  };
}
