"use client";

import { Button } from "@mantine/core";
import classes from "./quality.module.css";
import { intervalWords, type NumberedFinding } from "./quality-words";

/** The element of a finding in the list, which takes the focus when somebody goes there from the figure. */
export const idOfFinding = (number: number) => `finding-${number}`;

interface ChosenFindingProps {
  readonly numbered: NumberedFinding | undefined;
  readonly zoomed: boolean;
  /** The finding is short enough that a closer look shows more. */
  readonly canZoom: boolean;
  readonly onZoom: (zoom: boolean) => void;
  readonly onClose: () => void;
}

/** What is marked in the figure, said below it, with the way to its place in the list. */
export function ChosenFinding({ numbered, zoomed, canZoom, onZoom, onClose }: ChosenFindingProps) {
  return (
    <>
      <span role="status" className={classes.spoken}>
        {numbered === undefined
          ? ""
          : `Finding ${numbered.number} is marked in the figure: ${numbered.finding.title}`}
      </span>
      {numbered !== undefined && (
        <div className={classes.chosen}>
          <div>
            <strong>
              {numbered.number}: {numbered.finding.title}
            </strong>
            , {intervalWords(numbered.finding.fromS, numbered.finding.toS)}
          </div>
          <div className={classes.buttons} data-screen-only>
            <Button
              size="compact-sm"
              onClick={() => document.getElementById(idOfFinding(numbered.number))?.focus()}
            >
              Find it in the list
            </Button>
            {canZoom && (
              <Button size="compact-sm" onClick={() => onZoom(!zoomed)}>
                {zoomed ? "Show the whole trial" : "Show it closer"}
              </Button>
            )}
            <Button size="compact-sm" variant="subtle" onClick={onClose}>
              Remove the mark
            </Button>
          </div>
        </div>
      )}
    </>
  );
}
