import { type Proposal, placeIn } from "./column-map";
import classes from "./source-file.module.css";

/** The first rows of a file, numbered as a text editor or a spreadsheet program numbers them. */
export function PreviewTable({ proposal }: { readonly proposal: Proposal }) {
  const { preview, columnMap } = proposal;
  const place = placeIn(columnMap);
  const columns = Array.from({ length: preview.columnCount }, (_, index) => index);
  return (
    <>
      {preview.preamble.length > 0 && (
        <pre className={classes.preamble}>
          {preview.preamble.map(({ line, text }) => `${String(line).padStart(3)}  ${text}`).join("\n")}
        </pre>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} aria-label="First rows of the file" tabIndex={0}>
        <table className={classes.table}>
          <thead>
            {preview.header.map((row) => (
              <tr key={row.line}>
                <th scope="col">
                  {place} {row.line}
                </th>
                {columns.map((index) => (
                  <th scope="col" key={index}>
                    {row.cells[index] ?? ""}
                  </th>
                ))}
              </tr>
            ))}
          </thead>
          <tbody>
            {preview.rows.map((row) => (
              <tr key={row.line}>
                <th scope="row">
                  {place} {row.line}
                </th>
                {columns.map((index) => (
                  <td key={index}>{row.cells[index] ?? ""}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </>
  );
}
