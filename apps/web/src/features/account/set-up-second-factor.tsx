import { Stack, Text } from "@mantine/core";
import { SquareCode } from "@/components/square-code";
import classes from "./second-factor.module.css";
import { CodeForm } from "./second-factor-code";

interface SetUpSecondFactorProps {
  /** In letters and digits, to be typed in where the square cannot be read. */
  readonly secret: string;
  /** What the square holds. */
  readonly address: string;
  readonly onCode: (code: string) => Promise<void>;
  readonly onCancel: () => void;
}

/** The secret for the authenticator, and the first code that it makes of it. */
export function SetUpSecondFactor({ secret, address, onCode, onCancel }: SetUpSecondFactorProps) {
  return (
    <Stack gap="md">
      <Text>
        Read the square with your authenticator, or type the secret into it as a time-based code of six
        digits. It is shown now and never again.
      </Text>
      <SquareCode
        text={address}
        label="The secret below, as a code for the camera of a phone"
        className={classes.square}
      />
      <div>
        <Text fw={500}>Secret</Text>
        <code className={classes.secret}>{secret.match(/.{1,4}/g)?.join(" ")}</code>
      </div>
      <CodeForm
        label="The first code"
        description="The six digits that the authenticator shows now. Nothing is in force before one of them was right."
        confirmLabel="Put it in force"
        onCode={onCode}
        onCancel={onCancel}
      />
    </Stack>
  );
}
