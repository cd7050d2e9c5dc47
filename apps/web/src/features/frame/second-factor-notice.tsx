import { Text } from "@mantine/core";
import { Caution } from "@/components/caution";
import { TextLink } from "@/components/text-link";

/** For a lead investigator who can only look until the second factor that the study asks for is there. */
export function SecondFactorNotice() {
  return (
    <Caution>
      <Text>
        This study asks its lead investigators for a second factor, and you have none. Until you set one up on
        the page <TextLink href="/account">Your account</TextLink>, you can look at the study as an observer
        can.
      </Text>
    </Caution>
  );
}
