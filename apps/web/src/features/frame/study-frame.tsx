import type { ReactNode } from "react";
import { ListeningFields } from "@/components/listening-fields";
import classes from "./study-frame.module.css";
import { StudyNavigation } from "./study-navigation";

interface StudyFrameProps {
  readonly studyId: string;
  readonly children: ReactNode;
}

export function StudyFrame({ studyId, children }: StudyFrameProps) {
  return (
    <div className={classes.frame}>
      <div className={classes.side}>
        <StudyNavigation studyId={studyId} />
      </div>
      <main id="content" tabIndex={-1} className={classes.content}>
        <ListeningFields>{children}</ListeningFields>
      </main>
    </div>
  );
}
