import { roleNames } from "@acral/api/access";
import { TextLink } from "@/components/text-link";
import type { Role } from "./study-context";
import classes from "./study-list.module.css";

interface StudyListProps {
  readonly studies: readonly {
    readonly studyId: string;
    readonly title: string;
    readonly summary: string;
    readonly role: Role;
    readonly volunteers: number;
    readonly trials: number;
  }[];
}

export function StudyList({ studies }: StudyListProps) {
  return (
    <ul className={classes.list}>
      {studies.map((study) => (
        <li key={study.studyId}>
          <div className={classes.words}>
            <TextLink href={`/studies/${study.studyId}`} className={classes.title}>
              {study.title}
            </TextLink>
            {study.summary !== "" && <p className={classes.summary}>{study.summary}</p>}
          </div>
          <dl className={classes.facts}>
            <div>
              <dt>Volunteers</dt>
              <dd>{study.volunteers}</dd>
            </div>
            <div>
              <dt>Trials</dt>
              <dd>{study.trials}</dd>
            </div>
            <div className={classes.role}>
              <dt>You are</dt>
              <dd>{roleNames[study.role]}</dd>
            </div>
          </dl>
        </li>
      ))}
    </ul>
  );
}
