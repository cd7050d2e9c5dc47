/** One line that follows the loading on a terminal; elsewhere a line at the start and at each quarter. */
export function trialProgress(
  output: NodeJS.WritableStream & { readonly isTTY?: boolean },
): (trials: number, of: number) => void {
  let quarter = -1;
  return (trials, of) => {
    const line = `Loading the invented demo study: ${trials} of ${of} trials …`;
    if (output.isTTY) {
      output.write(`\r${line}${trials === of ? "\n" : ""}`);
      return;
    }
    const reached = Math.floor((4 * trials) / of);
    if (reached > quarter) output.write(`${line}\n`);
    quarter = reached;
  };
}
