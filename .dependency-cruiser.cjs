/** The import direction: web -> api -> {db, ingest, release} -> analysis. `npm test` fails when it is not kept. */
const only = (from, allowed) => ({
  name: `${from}-imports-only-${allowed.join("-and-") || "itself"}`,
  severity: "error",
  comment: `packages/${from} may import ${allowed.map((name) => `packages/${name}`).join(", ") || "no other package"}.`,
  from: { path: `^packages/${from}/src`, pathNot: "/testing\\.ts$" },
  to: { path: "^(packages|apps|e2e|scripts)/", pathNot: `^packages/(${[from, ...allowed].join("|")})/` },
});

module.exports = {
  forbidden: [
    only("analysis", []),
    only("ingest", ["analysis"]),
    only("release", ["analysis"]),
    only("db", ["analysis"]),
    only("simulator", ["analysis", "ingest"]),
    only("api", ["analysis", "db", "ingest", "release"]),
    {
      name: "web-imports-only-api-and-analysis",
      severity: "error",
      comment: "Screens speak to the API; the database, the readers and the release writer stand behind it.",
      from: { path: "^apps/web/src" },
      to: { path: "^(packages|e2e|scripts)/", pathNot: "^packages/(api|analysis)/" },
    },
    {
      name: "nothing-imports-web",
      severity: "error",
      from: { pathNot: "^apps/web/" },
      to: { path: "^apps/web/" },
    },
    {
      name: "analysis-is-pure",
      severity: "error",
      comment: "The analysis runs in Node, browser and worker alike: no I/O, no framework.",
      from: { path: "^packages/analysis/src" },
      to: { dependencyTypes: ["core"] },
    },
    {
      name: "features-do-not-import-routes",
      severity: "error",
      from: { path: "^apps/web/src/(features|components|charts|figure|theme|trpc)" },
      to: { path: "^apps/web/src/app/" },
    },
    {
      name: "components-know-nothing-of-the-product",
      severity: "error",
      from: { path: "^apps/web/src/(components|charts)" },
      to: { path: "^(apps/web/src/features|packages/api)/" },
    },
    {
      name: "no-circles",
      severity: "error",
      comment: "Types may refer to one another; modules that run may not.",
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ["type-only"] } },
    },
    {
      name: "no-unresolvable",
      severity: "error",
      from: {},
      to: { couldNotResolve: true, pathNot: "generated" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    exclude: { path: "(\\.next|/generated/|next-env)" },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: "tsconfig.json" },
    enhancedResolveOptions: {
      exportsFields: ["exports"],
      conditionNames: ["import", "node", "default"],
      extensions: [".ts", ".tsx", ".js", ".json"],
    },
  },
};
