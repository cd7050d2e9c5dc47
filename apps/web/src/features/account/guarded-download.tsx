"use client";

import { notifications } from "@mantine/notifications";
import type { ComponentProps } from "react";
import { DownloadButton } from "@/components/download-button";
import { useTRPCClient } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";

/** A download that the server gives only when the password was given lately: asks for it first, then fetches. */
export function GuardedDownload(props: Omit<ComponentProps<typeof DownloadButton>, "before">) {
  const api = useTRPCClient();
  const before = async () => {
    try {
      await api.session.requireProof.query();
      return true;
    } catch (error) {
      const { message } = failureOf(error);
      notifications.show({ title: "Not downloaded", message, color: "red" });
      return false;
    }
  };
  return <DownloadButton {...props} before={before} />;
}
