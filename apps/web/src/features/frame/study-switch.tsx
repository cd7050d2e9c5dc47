"use client";

import { Button, Menu } from "@mantine/core";
import { IconCheck, IconChevronDown } from "@tabler/icons-react";
import Link from "next/link";
import { useParams } from "next/navigation";
import classes from "./study-switch.module.css";

export interface StudyToSwitch {
  readonly studyId: string;
  readonly title: string;
}

interface StudySwitchProps {
  readonly studies: readonly StudyToSwitch[];
}

export function StudySwitch({ studies }: StudySwitchProps) {
  const { studyId } = useParams<{ studyId?: string }>();
  const current = studies.find((study) => study.studyId === studyId);
  return (
    <Menu position="bottom-start" width={320}>
      <Menu.Target>
        <Button
          variant="subtle"
          color="gray"
          size="compact-md"
          aria-label={
            current === undefined ? "Studies: choose one" : `Study: ${current.title}. Choose another`
          }
          rightSection={<IconChevronDown size={14} aria-hidden />}
          classNames={{
            root: classes.button ?? "",
            inner: classes.inner ?? "",
            label: classes.label ?? "",
          }}
          {...(current === undefined ? {} : { title: current.title })}
        >
          <span className={classes.title}>{current?.title ?? "Studies"}</span>
        </Button>
      </Menu.Target>
      <Menu.Dropdown className={classes.list ?? ""}>
        {studies.map((study) => (
          <Menu.Item
            key={study.studyId}
            component={Link}
            href={`/studies/${study.studyId}`}
            aria-current={study.studyId === studyId}
            rightSection={study.studyId === studyId ? <IconCheck size={16} aria-hidden /> : null}
          >
            {study.title}
          </Menu.Item>
        ))}
        {studies.length > 0 && <Menu.Divider />}
        <Menu.Item component={Link} href="/studies">
          All studies
        </Menu.Item>
        <Menu.Item component={Link} href="/studies/new">
          Create a study
        </Menu.Item>
      </Menu.Dropdown>
    </Menu>
  );
}
