"use client";

import { ActionIcon, type MantineColorScheme, Menu, useMantineColorScheme } from "@mantine/core";
import { IconBrightness, IconCheck } from "@tabler/icons-react";

const schemes: readonly { readonly value: MantineColorScheme; readonly label: string }[] = [
  { value: "auto", label: "As the system" },
  { value: "light", label: "Light" },
  { value: "dark", label: "Dark" },
];

export function SchemeMenu() {
  const { colorScheme, setColorScheme } = useMantineColorScheme();
  return (
    <Menu position="bottom-end">
      <Menu.Target>
        <ActionIcon aria-label="Light or dark">
          <IconBrightness size={18} stroke={1.75} aria-hidden />
        </ActionIcon>
      </Menu.Target>
      <Menu.Dropdown>
        {schemes.map(({ value, label }) => (
          <Menu.Item
            key={value}
            role="menuitemradio"
            aria-checked={colorScheme === value}
            onClick={() => setColorScheme(value)}
            rightSection={colorScheme === value ? <IconCheck size={16} aria-hidden /> : null}
          >
            {label}
          </Menu.Item>
        ))}
      </Menu.Dropdown>
    </Menu>
  );
}
