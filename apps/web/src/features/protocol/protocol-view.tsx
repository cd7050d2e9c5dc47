import { statistics } from "@acral/analysis/skin";
import { KeyValueList } from "@/components/key-value-list";
import { SectionHeading } from "@/components/section-heading";
import type { ProtocolVersion } from "./draft-form";
import { PhaseStrip } from "./phase-strip";
import classes from "./protocol.module.css";
import { durationText, imagingItems, limitText, regionRows } from "./words";

/** A version of the protocol to read. */
export function ProtocolView({
  content,
  reportingItems,
}: Pick<ProtocolVersion, "content" | "reportingItems">) {
  const { roomLimits } = content;
  const total = content.phases.reduce((sum, phase) => sum + (phase.durationS ?? 0), 0);
  const imaging = imagingItems(content.imaging, reportingItems);
  return (
    <>
      <section aria-labelledby="phases">
        <SectionHeading id="phases" explanation={`One trial takes ${durationText(total)}.`}>
          Phases
        </SectionHeading>
        <PhaseStrip phases={content.phases} />
        {content.exerciseLoad !== "" && (
          <KeyValueList items={[{ label: "Exercise load", value: <Lines text={content.exerciseLoad} /> }]} />
        )}
      </section>
      <section aria-labelledby="conditions">
        <SectionHeading
          id="conditions"
          explanation={`${content.occasions} ${content.occasions === 1 ? "occasion" : "occasions"} per condition, which makes ${content.conditions.length * content.occasions} trials per volunteer.`}
        >
          Conditions
        </SectionHeading>
        <KeyValueList
          items={content.conditions.map((condition) => ({
            label: condition.name,
            value: condition.description === "" ? "–" : <Lines text={condition.description} />,
          }))}
        />
      </section>
      <section aria-labelledby="regions">
        <SectionHeading id="regions">Regions to record</SectionHeading>
        <div className={classes.scroll}>
          <table className={classes.grid}>
            <thead>
              <tr>
                <th scope="col">Region</th>
                <th scope="col">Statistic</th>
              </tr>
            </thead>
            <tbody>
              {regionRows(content.regions).map((row) => (
                <tr key={row.regionId}>
                  <th scope="row">{row.label}</th>
                  <td>{statistics.filter((name) => row.statistics.includes(name)).join(", ")}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </section>
      <section aria-labelledby="room">
        <SectionHeading id="room">Room limits</SectionHeading>
        <KeyValueList
          items={[
            {
              label: "Air temperature",
              value: limitText(roomLimits.airTemperatureC.min, roomLimits.airTemperatureC.max, "°C"),
            },
            {
              label: "Mean radiant temperature",
              value: limitText(
                roomLimits.meanRadiantTemperatureC.min,
                roomLimits.meanRadiantTemperatureC.max,
                "°C",
              ),
            },
            {
              label: "Relative humidity",
              value: limitText(roomLimits.relativeHumidityPct.min, roomLimits.relativeHumidityPct.max, "%"),
            },
            { label: "Air speed", value: limitText(null, roomLimits.airSpeedMS.max, "m/s") },
          ]}
        />
      </section>
      {imaging.length > 0 && (
        <section aria-labelledby="imaging">
          <SectionHeading id="imaging">Imaging set-up</SectionHeading>
          <KeyValueList
            items={imaging.map((item) => ({ label: item.label, value: <Lines text={item.value} /> }))}
          />
        </section>
      )}
      <TextList
        id="pre-visit"
        title="Pre-visit rules"
        texts={content.preVisitRules}
        none="None written down."
      />
      <TextList
        id="stop"
        title="Stop criteria"
        texts={content.stopCriteria}
        none="None."
        explanation="A trial is stopped at once when one of them is met. Local codes, the ethics body's decision and licensed practice prevail."
      />
      <TextList
        id="outcomes"
        title="Planned outcomes"
        texts={content.plannedOutcomes}
        none="None written down."
      />
    </>
  );
}

const Lines = ({ text }: { readonly text: string }) => <span className={classes.pre}>{text}</span>;

interface TextListProps {
  readonly id: string;
  readonly title: string;
  readonly texts: readonly string[];
  readonly none: string;
  readonly explanation?: string;
}

function TextList({ id, title, texts, none, explanation }: TextListProps) {
  return (
    <section aria-labelledby={id}>
      <SectionHeading id={id} {...(explanation === undefined ? {} : { explanation })}>
        {title}
      </SectionHeading>
      {texts.length === 0 ? (
        <p className={classes.quiet}>{none}</p>
      ) : (
        <ul className={classes.list}>
          {texts.map((text) => (
            <li key={text}>{text}</li>
          ))}
        </ul>
      )}
    </section>
  );
}
