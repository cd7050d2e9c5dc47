"use client";

import { Button, Menu } from "@mantine/core";
import { notifications } from "@mantine/notifications";
import { IconChevronDown, IconUser } from "@tabler/icons-react";
import Link from "next/link";
import { signOut } from "../account/sign-in-client";
import classes from "./account-menu.module.css";

interface AccountMenuProps {
  readonly person: { readonly name: string; readonly email: string };
}

export function AccountMenu({ person }: AccountMenuProps) {
  const leave = async () => {
    const failure = await signOut();
    if (failure !== null) {
      notifications.show({ title: "Still signed in", message: failure, color: "red" });
      return;
    }
    // A whole new document, so that nothing read while signed in stays in the browser's memory.
    window.location.assign("/sign-in");
  };
  return (
    <Menu position="bottom-end" width={240}>
      <Menu.Target>
        <Button
          variant="subtle"
          color="gray"
          size="compact-md"
          aria-label={`Account of ${person.name}`}
          title={person.name}
          leftSection={<IconUser size={18} stroke={1.75} aria-hidden />}
          rightSection={<IconChevronDown size={14} aria-hidden />}
          classNames={{ root: classes.button ?? "" }}
        >
          <span className={classes.name}>{person.name}</span>
        </Button>
      </Menu.Target>
      <Menu.Dropdown>
        <div className={classes.person}>
          <div>{person.name}</div>
          <div className={classes.email}>{person.email}</div>
        </div>
        <Menu.Divider />
        <Menu.Item component={Link} href="/account">
          Your account
        </Menu.Item>
        <Menu.Item onClick={leave}>Sign out</Menu.Item>
      </Menu.Dropdown>
    </Menu>
  );
}
