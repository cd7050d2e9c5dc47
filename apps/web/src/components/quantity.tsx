import classes from "./quantity.module.css";

interface QuantityProps {
  /** `null` is a missing value and is drawn as a dash that a screen reader calls "missing". */
  readonly value: number | null;
  readonly unit?: string;
  /** Digits after the decimal mark. Default 1. */
  readonly digits?: number;
  /** Write a plus before positive numbers, as for differences. */
  readonly signed?: boolean;
  /** Limits of an interval, drawn after the number in brackets. */
  readonly interval?: readonly [number, number];
}

/** A number with its unit in lighter weight: 33.1 °C. The minus is a true minus. */
export function Quantity({ value, unit, digits = 1, signed = false, interval }: QuantityProps) {
  if (value === null || !Number.isFinite(value)) {
    return (
      <span className={classes.missing}>
        <span aria-hidden>–</span>
        <span className={classes.spoken}>missing</span>
      </span>
    );
  }
  return (
    <span className={classes.quantity}>
      {formatNumber(value, digits, signed)}
      {interval !== undefined && (
        <span className={classes.interval}>
          {" "}
          [{formatNumber(interval[0], digits, signed)}, {formatNumber(interval[1], digits, signed)}]
        </span>
      )}
      {unit !== undefined && unit !== "" && (
        <span className={classes.unit}>{unit === "°" ? unit : ` ${unit}`}</span>
      )}
    </span>
  );
}

/** Fixed digits, a true minus sign, never "−0.0". */
export function formatNumber(value: number, digits: number, signed = false): string {
  const text = Math.abs(value).toFixed(digits);
  if (Number(text) === 0) return text;
  if (value < 0) return `−${text}`;
  return signed ? `+${text}` : text;
}
