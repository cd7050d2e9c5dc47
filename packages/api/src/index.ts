export { renewFirstAccountCode } from "./account/service";
export { AppError, type AppErrorCode, httpStatusOf } from "./app-error";
export { assertSameSite, createContext } from "./context";
export { type Core, openCore } from "./core";
export { type Environment, EnvironmentError, readEnvironment } from "./environment";
export { type AppRouter, appRouter, createCaller } from "./root-router";
export type { ErrorForBrowser } from "./trpc";
