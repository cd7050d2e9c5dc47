"use client";

import { regions as catalogue, sites, statistics } from "@acral/analysis/skin";
import { Checkbox, TextInput } from "@mantine/core";
import { useState } from "react";
import { Disclosure } from "@/components/disclosure";
import type { Content, Statistic } from "./draft-form";
import classes from "./protocol.module.css";
import { regionRows } from "./words";

type Chosen = Content["regions"];

interface RegionChoiceProps {
  readonly regions: readonly Chosen[number][];
  readonly onChange: (regions: readonly Chosen[number][]) => void;
}

export function RegionChoice({ regions, onChange }: RegionChoiceProps) {
  const [search, setSearch] = useState("");
  const words = search.toLowerCase().split(/\s+/);
  const shown = catalogue.filter((region) =>
    words.every((word) => region.label.toLowerCase().includes(word)),
  );
  const isChosen = (regionId: string) => regions.some((region) => region.regionId === regionId);
  const set = (regionId: string, statistic: Statistic, wanted: boolean) =>
    onChange(
      wanted
        ? [...regions, { regionId, statistic }]
        : regions.filter((region) => region.regionId !== regionId || region.statistic !== statistic),
    );
  const rows = regionRows([...regions]);
  return (
    <>
      {rows.length > 0 && (
        <div className={classes.scroll}>
          <table className={classes.grid} aria-label="Regions to record">
            <thead>
              <tr>
                <th scope="col">Region</th>
                {statistics.map((statistic) => (
                  <th scope="col" key={statistic}>
                    {statistic}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {rows.map((row) => (
                <tr key={row.regionId}>
                  <th scope="row">{row.label}</th>
                  {statistics.map((statistic) => (
                    <td key={statistic}>
                      <Checkbox
                        aria-label={`${row.label}: ${statistic}`}
                        checked={row.statistics.includes(statistic)}
                        onChange={(event) => set(row.regionId, statistic, event.currentTarget.checked)}
                      />
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <div className={classes.under}>
        <Disclosure summary="Choose from the region catalogue" open={rows.length === 0}>
          <TextInput
            id="regions"
            type="search"
            label="Find a region"
            description="For instance: forearm left"
            w={280}
            maw="100%"
            value={search}
            onChange={(event) => setSearch(event.currentTarget.value)}
          />
          <div className={classes.catalogue}>
            {sites.map((site) => {
              const ofSite = shown.filter((region) => region.site === site);
              return ofSite.length === 0 ? null : (
                <fieldset key={site}>
                  <legend>{site}</legend>
                  {ofSite.map((region) => (
                    <Checkbox
                      key={region.id}
                      label={region.label}
                      checked={isChosen(region.id)}
                      onChange={(event) =>
                        event.currentTarget.checked
                          ? set(region.id, "mean", true)
                          : onChange(regions.filter((chosen) => chosen.regionId !== region.id))
                      }
                    />
                  ))}
                </fieldset>
              );
            })}
            {shown.length === 0 && <p className={classes.quiet}>No region of the catalogue matches.</p>}
          </div>
        </Disclosure>
      </div>
    </>
  );
}
