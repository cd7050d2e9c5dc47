import { signInLines } from "./demo-people";
import { trialProgress } from "./demo-progress";
import { readDemoEnvironment, serveDemo } from "./demo-server";
import { untilStopped } from "./serve";

/** `npm run demo`: the product with an invented study, which is loaded through the product's own API. */
try {
  const environment = readDemoEnvironment(process.env);
  const { server, load } = await serveDemo(environment);
  let stopping = false;
  for (const signal of ["SIGINT", "SIGTERM"] as const) {
    process.once(signal, () => {
      stopping = true;
    });
  }
  const end = untilStopped(server);

  const where =
    environment.databaseUrl === null
      ? `the embedded database in ${environment.dataDir}`
      : `the PostgreSQL server of DATABASE_URL; files and keys in ${environment.dataDir}`;
  const ready = () => {
    console.log(`\nAcral is running at ${server.address} with an invented study. Sign in there as`);
    for (const line of signInLines) console.log(`  ${line}`);
    console.log(
      "These accounts are for the demo only, and everybody can read their passwords: enter no real person here.",
    );
    console.log(`Data: ${where}. Stop with Ctrl+C.\n`);
  };

  const began = Date.now();
  try {
    const study = await load({ ready, progress: trialProgress(process.stdout) });
    if (study === null) {
      console.log(
        `\nThe demo needs an empty database, and this one has accounts of its own, so nothing was loaded: start it on another one, for instance ACRAL_DATA_DIR=./.data-demo-2 npm run demo.\nAcral is running at ${server.address} with what was there before. Data: ${where}. Stop with Ctrl+C.\n`,
      );
    } else if (study.loaded) {
      console.log(`The demo study is complete (${((Date.now() - began) / 1000).toFixed(0)} s).\n`);
    } else {
      console.log("The demo study is complete; nothing was left to load.\n");
    }
  } catch (error) {
    if (!stopping) {
      console.error(
        `\nLoading the demo study stopped: ${error instanceof Error ? error.message : error}\nWhat is loaded stays. Stop with Ctrl+C and start again: it goes on where it stopped.\n`,
      );
    }
  }
  await end;
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exit(1);
}
