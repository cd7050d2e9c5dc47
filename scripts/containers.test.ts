import { readFileSync } from "node:fs";
import { join } from "node:path";
import { readEnvironment } from "@acral/api";
import { describe, expect, it } from "vitest";
import { parseDocument } from "yaml";
import { z } from "zod";

/** Containers cannot be started everywhere; these hold what would keep them from starting. */

const root = join(import.meta.dirname, "..");
const read = (name: string) => readFileSync(join(root, name), "utf8");

const dockerfile = read("Dockerfile")
  .split("\n")
  .flatMap((line) => {
    const [, word = "", rest = ""] = /^([A-Z]+)\s+(.*)$/.exec(line) ?? [];
    return word === "" ? [] : [{ word, rest }];
  });
const linesOf = (word: string) => dockerfile.filter((line) => line.word === word).map(({ rest }) => rest);
const imageEnvironment = Object.fromEntries(
  linesOf("ENV").flatMap((rest) => rest.split(" ").map((pair) => pair.split("=", 2))),
);

const composeSchema = z.object({
  services: z.object({
    web: z.strictObject({
      build: z.string(),
      depends_on: z.object({ database: z.object({ condition: z.literal("service_healthy") }) }),
      environment: z.record(z.string(), z.string()),
      ports: z.array(z.string()).length(1),
      volumes: z.array(z.string()).length(1),
      restart: z.string(),
    }),
    database: z.strictObject({
      image: z.string().regex(/^postgres:\d+$/),
      environment: z.record(z.string(), z.string()),
      volumes: z.array(z.string()).length(1),
      healthcheck: z.object({ test: z.array(z.string()), interval: z.string(), retries: z.number() }),
      restart: z.string(),
    }),
  }),
  volumes: z.record(z.string(), z.null()),
});
const composeFile = parseDocument(read("docker-compose.yml"), { strict: true });
const compose = () => composeSchema.parse(composeFile.toJS());

/** What compose puts in: the given value, the default after ":-", or a refusal after ":?". */
function interpolated(text: string, given: Readonly<Record<string, string>>): string {
  return text.replaceAll(/\$\{(\w+)(?::([-?])([^}]*))?\}/g, (_, name: string, sign: string, rest: string) => {
    const value = given[name] ?? "";
    if (value !== "") return value;
    if (sign === "-") return rest;
    throw new Error(`${name}: ${rest}`);
  });
}

const webEnvironment = (given: Readonly<Record<string, string>>) =>
  Object.fromEntries(
    Object.entries(compose().services.web.environment).map(([name, value]) => [
      name,
      interpolated(value, given),
    ]),
  );

describe("docker-compose.yml", () => {
  it("is YAML without errors or warnings, and has a web and a database service and nothing else", () => {
    expect(composeFile.errors).toEqual([]);
    expect(composeFile.warnings).toEqual([]);
    expect(Object.keys(compose().services).sort()).toEqual(["database", "web"]);
  });

  it("gives the web service an environment that the server accepts, pointing at the database service", () => {
    // Apart from the address, where these characters would end the password.
    const POSTGRES_PASSWORD = "a:p@ss/word";
    const web = webEnvironment({ POSTGRES_PASSWORD, ACRAL_ADDRESS: "https://acral.example.org" });
    expect(web.PGPASSWORD).toBe(POSTGRES_PASSWORD);
    const environment = readEnvironment({ ...imageEnvironment, ...web });
    const database = new URL(environment.databaseUrl ?? "");
    const { POSTGRES_USER, POSTGRES_DB } = compose().services.database.environment;
    expect(database.hostname).toBe("database");
    expect(database.username).toBe(POSTGRES_USER);
    expect(database.pathname).toBe(`/${POSTGRES_DB}`);
    expect(database.password).toBe("");
    expect(environment.address).toBe("https://acral.example.org");
    expect(environment.host).toBe("0.0.0.0");
  });

  it("does not start without a password that somebody chose", () => {
    expect(() => webEnvironment({})).toThrow(/choose a password/);
    const password = compose().services.database.environment.POSTGRES_PASSWORD ?? "";
    expect(() => interpolated(password, {})).toThrow(/choose a password/);
  });

  it("keeps files, keys and the database in named volumes, at the folders that the programs use", () => {
    const { services, volumes } = compose();
    const [files = "", folder] = (services.web.volumes[0] ?? "").split(":");
    const [rows = ""] = (services.database.volumes[0] ?? "").split(":");
    expect(folder).toBe(imageEnvironment.ACRAL_DATA_DIR);
    expect(linesOf("VOLUME")).toEqual([folder]);
    expect(Object.keys(volumes).sort()).toEqual([rows, files].sort());
  });

  it("publishes the port that the server listens on", () => {
    const inside = compose().services.web.ports[0]?.split(":").at(-1);
    expect(inside).toBe(imageEnvironment.PORT);
    expect(linesOf("EXPOSE")).toEqual([inside]);
  });
});

describe("the Dockerfile", () => {
  const packageSchema = z.object({ scripts: z.record(z.string(), z.string()) });
  const { scripts } = packageSchema.parse(JSON.parse(read("package.json")));

  it("installs, builds and starts by the npm scripts that everybody uses", () => {
    const commands = [
      ...linesOf("RUN").flatMap((rest) => rest.split("&&")),
      ...linesOf("CMD").map((rest) => z.array(z.string()).parse(JSON.parse(rest)).join(" ")),
    ].map((command) => command.trim());
    const npm = commands.flatMap((command) => /^npm (?:run )?(\S+)$/.exec(command)?.[1] ?? []);
    expect(npm).toEqual(["install", "build", "start"]);
    for (const script of npm.filter((name) => name !== "install")) expect(scripts).toHaveProperty(script);
  });

  it("runs on a version of Node that the package allows, and not as root", () => {
    expect(linesOf("FROM").join()).toMatch(/^node:(2[0-9])-/);
    expect(linesOf("USER")).toEqual(["acral"]);
  });
});
