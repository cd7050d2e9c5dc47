import classes from "./state.module.css";

interface LoadingStateProps {
  /** What is being fetched or computed: "Reading the trials". */
  readonly label: string;
  /** How many ruled lines to hold the place with. */
  readonly lines?: number;
}

export function LoadingState({ label, lines = 4 }: LoadingStateProps) {
  return (
    <div role="status" className={classes.loading}>
      <span>{label} …</span>
      <span aria-hidden className={classes.lines}>
        {Array.from({ length: lines }, (_, line) => line).map((line) => (
          <span key={line} />
        ))}
      </span>
    </div>
  );
}
