import { type Environment, readEnvironment } from "@acral/api";
import type { ServerAddress } from "./demo-client";
import { type LoadingStudy, loadDemoStudy } from "./demo-load";
import { enterAsLead } from "./demo-people";
import { type Server, serve } from "./serve";

/** The environment of the demo: its own folder, apart from the one of `npm start`. */
export function readDemoEnvironment(variables: Readonly<Record<string, string | undefined>>): Environment {
  const named = (name: string) => variables[name] !== undefined && variables[name] !== "";
  // Files and keys beside a database on a server are not those beside the embedded one.
  const folder = named("DATABASE_URL") ? "./.data-demo-server" : "./.data-demo";
  return readEnvironment(named("ACRAL_DATA_DIR") ? variables : { ...variables, ACRAL_DATA_DIR: folder });
}

export interface DemoServer {
  readonly server: Server;
  readonly address: ServerAddress;
  /** Loads what is missing. Null when the database has accounts and the demo's is not among them. */
  load(loading: LoadingStudy): Promise<{ readonly studyId: string; readonly loaded: boolean } | null>;
}

export async function serveDemo(environment: Environment): Promise<DemoServer> {
  const server = await serve(environment);
  const address = { local: localAddress(environment), shown: environment.address };
  return {
    server,
    address,
    async load(loading) {
      const lead = await enterAsLead(address, server.firstAccountCode);
      return lead === null ? null : loadDemoStudy(address, lead, loading);
    },
  };
}

/** A server that listens on every address is reached by the one of this machine. */
function localAddress({ host, port }: Environment): string {
  const reached = host === "0.0.0.0" ? "127.0.0.1" : host === "::" ? "[::1]" : host;
  return `http://${reached}:${port}`;
}
