import { Disclosure } from "@/components/disclosure";
import { KeyValueList } from "@/components/key-value-list";
import type { Outputs } from "@/trpc/outputs";
import classes from "./trial.module.css";

type ProvenanceOfMeasures = Outputs["trial"]["measures"]["provenance"];

/** From which bytes, by which column map, with which settings and which version the numbers came. */
export function Provenance({ provenance }: { readonly provenance: ProvenanceOfMeasures }) {
  const { inputHash, analysisVersion, settings, sources, markers } = provenance;
  return (
    <Disclosure summary="Where these numbers come from">
      <KeyValueList
        items={[
          { label: "Analysis", value: `version ${analysisVersion}` },
          {
            label: "Settings",
            value: (
              <span className={classes.small}>
                {Object.entries(settings)
                  .map(
                    ([name, value]) =>
                      `${name}: ${typeof value === "object" ? JSON.stringify(value) : value}`,
                  )
                  .join("; ")}
              </span>
            ),
          },
          {
            label: "Markers",
            value:
              markers.length === 0 ? "none" : markers.map(({ name, atS }) => `${name} ${atS} s`).join(", "),
          },
          {
            label: "Hash of all inputs",
            value: <span className={classes.hash}>{inputHash}</span>,
            note: "SHA-256 over source files, column maps, offsets, markers, settings and versions.",
          },
        ]}
      />
      {sources.map((source) => (
        <div key={source.sourceFileId}>
          <p>
            {source.name}, read by reader {source.readerVersion ?? "of no version"}, offset {source.offsetS} s
          </p>
          <p className={classes.hash}>SHA-256 {source.sha256}</p>
          {source.columnMap !== null && (
            <Disclosure summary={`Column map of ${source.name}`}>
              <pre className={classes.map}>{JSON.stringify(source.columnMap, null, 2)}</pre>
            </Disclosure>
          )}
        </div>
      ))}
    </Disclosure>
  );
}
