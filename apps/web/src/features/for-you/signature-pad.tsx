"use client";

import { Button } from "@mantine/core";
import { type PointerEvent, useRef, useState } from "react";
import classes from "./for-you.module.css";

export type Strokes = [number, number][][];

/** The pad's own units, as the server takes them. */
const pad = { width: 1000, height: 400 } as const;
const mostPoints = 9_000;

interface SignaturePadProps {
  readonly strokes: Strokes;
  readonly onChange: (strokes: Strokes) => void;
  readonly invalid: boolean;
}

/** A signature drawn with finger, pen or mouse. Whoever does not draw signs with the typed name. */
export function SignaturePad({ strokes, onChange, invalid }: SignaturePadProps) {
  const drawing = useRef<number | null>(null);
  const [open, setOpen] = useState<[number, number][]>([]);
  const points = strokes.reduce((sum, stroke) => sum + stroke.length, 0) + open.length;

  const at = (event: PointerEvent<SVGSVGElement>): [number, number] => {
    const box = event.currentTarget.getBoundingClientRect();
    const along = (value: number, size: number, most: number) =>
      Math.round(Math.min(Math.max(value / size, 0), 1) * most);
    return [
      along(event.clientX - box.left, box.width, pad.width),
      along(event.clientY - box.top, box.height, pad.height),
    ];
  };
  const begin = (event: PointerEvent<SVGSVGElement>) => {
    if (drawing.current !== null || points >= mostPoints) return;
    drawing.current = event.pointerId;
    event.currentTarget.setPointerCapture(event.pointerId);
    setOpen([at(event)]);
  };
  const go = (event: PointerEvent<SVGSVGElement>) => {
    if (drawing.current !== event.pointerId || points >= mostPoints) return;
    const next = at(event);
    setOpen((now) => {
      const last = now.at(-1);
      // Closer than the eye sees: nothing is gained by another point.
      const near = last !== undefined && Math.hypot(last[0] - next[0], last[1] - next[1]) < 3;
      return near || now.length >= 1900 ? now : [...now, next];
    });
  };
  const end = (event: PointerEvent<SVGSVGElement>) => {
    if (drawing.current !== event.pointerId) return;
    drawing.current = null;
    if (open.length > 0) onChange([...strokes, open]);
    setOpen([]);
  };
  const all = open.length === 0 ? strokes : [...strokes, open];
  return (
    <div>
      <svg
        viewBox={`0 0 ${pad.width} ${pad.height}`}
        className={classes.pad}
        data-invalid={invalid || undefined}
        role="img"
        aria-label={
          strokes.length === 0 ? "Field for your signature, empty" : "Field for your signature, signed"
        }
        onPointerDown={begin}
        onPointerMove={go}
        onPointerUp={end}
        onPointerCancel={end}
      >
        <line x1="60" x2="940" y1="320" y2="320" stroke="var(--acral-line)" strokeWidth="2" />
        {all.map((stroke, index) => (
          <polyline
            // biome-ignore lint/suspicious/noArrayIndexKey: strokes are only ever added at the end
            key={index}
            points={[...stroke, ...(stroke.length === 1 ? stroke : [])]
              .map((point) => point.join(","))
              .join(" ")}
            fill="none"
            stroke="currentColor"
            strokeWidth="6"
            strokeLinecap="round"
            strokeLinejoin="round"
          />
        ))}
      </svg>
      <Button mt="xs" disabled={strokes.length === 0} onClick={() => onChange([])}>
        Clear the signature
      </Button>
    </div>
  );
}
