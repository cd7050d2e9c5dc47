import { Button, Stack, Text } from "@mantine/core";
import classes from "./second-factor.module.css";

interface RecoveryCodesProps {
  readonly codes: readonly string[];
  readonly onKept: () => void;
}

/** Shown once, after they were made. */
export function RecoveryCodes({ codes, onKept }: RecoveryCodesProps) {
  return (
    <Stack gap="sm" align="flex-start">
      <Text role="status">
        The second factor is in force. These recovery codes are shown now and never again. Each of them signs
        you in once when you have no authenticator at hand: write them down, or print them, and keep them
        where your password is not.
      </Text>
      <ul className={classes.codes} aria-label="Recovery codes">
        {codes.map((code) => (
          <li key={code}>{code}</li>
        ))}
      </ul>
      <Button variant="filled" onClick={onKept}>
        I have kept them
      </Button>
    </Stack>
  );
}
