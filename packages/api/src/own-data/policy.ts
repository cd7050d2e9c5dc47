/** A name that every system can unpack, in whatever folder: letters, digits, dot, hyphen, underscore. */
export function plainFileName(name: string): string {
  const plain = name
    .normalize("NFKD")
    .replace(/[^\w.-]+/g, "_")
    .replace(/^[.]+/, "");
  return plain === "" ? "file" : plain.slice(-100);
}

/** What lies in the package, for the person whom it is about. */
export function readmeOf(code: string, study: string, day: string): string {
  return `Everything that the study “${study}” keeps about you, as of ${day}. In the study you are known as ${code}.

own-data.json      all of it in one file that programs can read
body-measures.csv  your height, mass and skinfolds, as they were measured
consents.csv       what you were asked, what you decided, and what you took back
trials.csv         the visits that were planned or recorded
measures.csv       the numbers that were computed from the recordings
files/             the files exactly as the instruments wrote them
consent-papers/    what you signed: signatures (as lines on a pad), scans and copies

The files hold your name and how you were recorded. Keep them where only you can read them.
Releases that were handed out without names are listed in own-data.json; they cannot be called back.
`;
}
