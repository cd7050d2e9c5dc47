"use client";

import { MantineProvider } from "@mantine/core";
import { Notifications } from "@mantine/notifications";
import { setNonce } from "get-nonce";
import { type ReactNode, useState } from "react";
import { cssVariables, theme } from "@/theme/theme";
import { ApiProvider } from "@/trpc/client";

interface ProvidersProps {
  readonly nonce: string;
  readonly children: ReactNode;
}

export function Providers({ nonce, children }: ProvidersProps) {
  // A refresh of the page's data brings the nonce of a newer request, but the browser goes on enforcing the policy of
  // the request that loaded the document. So the first nonce stays.
  const [documentNonce] = useState(() => {
    // Dialogs lock scrolling through a style element of their own, which asks get-nonce.
    if (nonce !== "") setNonce(nonce);
    return nonce;
  });
  return (
    <MantineProvider
      theme={theme}
      cssVariablesResolver={cssVariables}
      defaultColorScheme="auto"
      getStyleNonce={() => documentNonce}
    >
      <ApiProvider>{children}</ApiProvider>
      <Notifications position="bottom-right" containerWidth={360} />
    </MantineProvider>
  );
}
