import { readEnvironment } from "@acral/api";
import { serve, untilStopped } from "./serve";

try {
  const environment = readEnvironment(process.env);
  const server = await serve(environment);
  console.log(`\nAcral is running at ${server.address}`);
  if (server.firstAccountCode !== null) {
    console.log(
      `No account exists yet. Open ${server.address}/first-account and enter the code ${server.firstAccountCode}`,
    );
  }
  const where =
    environment.databaseUrl === null
      ? `the embedded database in ${environment.dataDir}`
      : "the PostgreSQL server of DATABASE_URL";
  console.log(`Data: ${where}; files and keys in ${environment.dataDir}. Stop with Ctrl+C.\n`);
  await untilStopped(server);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exit(1);
}
