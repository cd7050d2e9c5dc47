import { generateClientIfNeeded } from "./generate-client";

/**
 * Loaded before the scripts that use the API (`tsx --import`): its modules need the generated database client the moment
 * that they are loaded, and a fresh clone has none.
 */
generateClientIfNeeded();
