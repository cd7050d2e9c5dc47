import { defineConfig } from "prisma/config";

export default defineConfig({
  schema: "prisma",
  migrations: { path: "prisma/migrations" },
  // The embedded database needs no address; the official command line, where it is used, asks for one.
  datasource: { url: process.env.DATABASE_URL ?? "postgresql://unset" },
});
