import { sampleComputations } from "./sample-computations";

self.postMessage(sampleComputations());
