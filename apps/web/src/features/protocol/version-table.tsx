import { formatMoment } from "@/components/format-moment";
import stackedTable from "@/components/stacked-table.module.css";
import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import classes from "./protocol.module.css";
import { type VersionState, versionStates } from "./words";

interface VersionTableProps {
  readonly label: string;
  readonly versions: readonly {
    readonly href: string;
    readonly version: number;
    readonly state: VersionState;
    readonly createdAt: string;
    readonly inForceAt: string | null;
    readonly retiredAt: string | null;
    /** One more remark, for instance how many signed it. */
    readonly note?: string;
  }[];
}

/** Every version that there is, the newest first. */
export function VersionTable({ label, versions }: VersionTableProps) {
  const moment = (iso: string | null) => (iso === null ? "–" : formatMoment(iso));
  return (
    <section className={classes.scroll} aria-label={label}>
      <table className={`${classes.grid} ${stackedTable.stacked}`}>
        <thead>
          <tr>
            <th scope="col">Version</th>
            <th scope="col">State</th>
            <th scope="col">Begun</th>
            <th scope="col">In force since</th>
            <th scope="col">Retired</th>
            {versions.some((version) => version.note !== undefined) && <th scope="col">Signed</th>}
          </tr>
        </thead>
        <tbody>
          {versions.map((version) => (
            <tr key={version.version}>
              <th scope="row">
                <TextLink href={version.href}>Version {version.version}</TextLink>
              </th>
              <td>
                <StateBadge shape={versionStates[version.state].shape}>
                  {versionStates[version.state].name}
                </StateBadge>
              </td>
              <td data-label="Begun">{moment(version.createdAt)}</td>
              <td data-label="In force since">{moment(version.inForceAt)}</td>
              <td data-label="Retired">{moment(version.retiredAt)}</td>
              {version.note !== undefined && <td data-label="Signed">{version.note}</td>}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
