import { allSamples } from "./sample/all-samples";

self.postMessage(allSamples());
