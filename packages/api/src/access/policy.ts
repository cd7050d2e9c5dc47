import type { Role } from "@acral/db";

/**
 * Who may do what, in one table: for every procedure that belongs to a study, the roles that may call it. A test walks
 * it cell by cell, and fails for a procedure that has no line here.
 */

const everyone = ["lead_investigator", "operator", "analyst", "observer"] as const;
const conducting = ["lead_investigator", "operator"] as const;
const analysing = ["lead_investigator", "operator", "analyst"] as const;
const comparing = ["lead_investigator", "analyst"] as const;
const leading = ["lead_investigator"] as const;
const overseeing = ["lead_investigator", "observer"] as const;

export const roleTable = {
  "study.get": everyone,
  "study.overview": everyone,
  "study.update": leading,
  "study.requireSecondFactor": leading,

  "team.list": everyone,
  "team.invite": leading,
  "team.revokeInvitation": leading,
  "team.changeRole": leading,
  "team.remove": leading,

  "protocol.list": everyone,
  "protocol.get": everyone,
  "protocol.startDraft": leading,
  "protocol.saveDraft": leading,
  "protocol.discardDraft": leading,
  "protocol.putInForce": leading,

  "volunteer.list": everyone,
  "volunteer.get": everyone,
  "volunteer.register": conducting,
  "volunteer.update": conducting,
  "volunteer.addBodyMeasures": conducting,
  "volunteer.removeBodyMeasures": conducting,

  "identity.reveal": conducting,
  "identity.find": conducting,
  "identity.save": conducting,

  "erasure.ofVolunteer": everyone,
  "erasure.erase": leading,

  "retention.due": everyone,
  "retention.savePlan": leading,
  "retention.remove": leading,

  "consent.forms": everyone,
  "consent.form": everyone,
  "consent.askAgain": everyone,
  "consent.startForm": leading,
  "consent.saveForm": leading,
  "consent.discardForm": leading,
  "consent.putFormInForce": leading,
  "consent.ofVolunteer": everyone,
  "consent.record": conducting,
  "consent.withdraw": conducting,
  "consent.countersign": conducting,

  "invitationText.get": everyone,
  "invitationText.save": leading,

  "preference.ofVolunteer": everyone,
  "preference.save": conducting,

  "screening.sets": everyone,
  "screening.startSet": leading,
  "screening.saveSet": leading,
  "screening.discardSet": leading,
  "screening.putSetInForce": leading,
  // How it stands; what stands behind it is told to those who may see the answers.
  "screening.ofVolunteer": everyone,
  "screening.record": conducting,
  "screening.recordClearance": conducting,
  "screening.showAnswers": conducting,

  "volunteerLink.list": conducting,
  "volunteerLink.make": conducting,
  "volunteerLink.revoke": conducting,

  "trial.list": everyone,
  "trial.get": everyone,
  "trial.plan": conducting,
  "trial.saveRoom": conducting,
  "trial.saveMarkers": conducting,
  "trial.discard": conducting,
  "trial.course": everyone,
  "trial.measures": everyone,
  "trial.markChecked": analysing,
  "trial.accept": analysing,
  "trial.setAside": analysing,
  "trial.reopen": analysing,

  "imaging.ofTrial": everyone,
  "imaging.save": conducting,

  "sourceFile.proposal": analysing,
  "sourceFile.preview": analysing,
  "sourceFile.read": analysing,
  "sourceFile.clock": analysing,
  "sourceFile.estimateOffset": analysing,
  "sourceFile.setOffset": analysing,
  "sourceFile.takeBackOffset": analysing,
  "sourceFile.putBack": conducting,
  "sourceFile.rowsNotUsed": everyone,
  "sourceFile.remove": conducting,
  "sourceFile.provenance": everyone,

  "columnMap.list": everyone,
  "columnMap.files": everyone,
  "columnMap.readAgain": analysing,
  "columnMap.rename": analysing,
  "columnMap.remove": analysing,

  "quality.ofTrial": everyone,
  "quality.summary": everyone,
  "quality.ofStudy": everyone,
  "quality.decide": analysing,
  "quality.clearDecision": analysing,
  "quality.preview": analysing,
  "quality.adjust": analysing,
  "quality.undo": analysing,
  "quality.redo": analysing,
  "quality.reorder": analysing,

  "comparison.list": everyone,
  "comparison.get": everyone,
  "comparison.outcomes": everyone,
  "comparison.preview": everyone,
  "comparison.save": comparing,
  "comparison.answer": comparing,
  "comparison.remove": comparing,

  "methods.get": everyone,

  "release.list": everyone,
  "release.assess": leading,
  "release.make": leading,

  // It says of everybody what they did, and for which reason: for whoever leads and for whoever looks over the shoulder.
  "audit.list": overseeing,
  "audit.choices": overseeing,

  // Plain HTTP routes, which go through the same check.
  "file.upload": conducting,
  "file.download": analysing,
  "release.download": analysing,
  "ownData.export": conducting,
  // It shows the name and the signature.
  "consent.openPaper": conducting,
  "consent.addScan": conducting,
  "audit.export": overseeing,
} as const satisfies Readonly<Record<string, readonly Role[]>>;

export type StudyAction = keyof typeof roleTable;

/** How long the proof of a password is good for; signing in is the first. */
export const proofMinutes = 10;

/**
 * What asks for the password again when the last proof is older: what shows who somebody is, takes data away or hands it
 * out, and what decides who may. A browser that was left open for a moment is not enough for these.
 */
const asksAgain: ReadonlySet<StudyAction> = new Set([
  "study.requireSecondFactor",
  "team.invite",
  "team.changeRole",
  "team.remove",
  "identity.reveal",
  "consent.openPaper",
  "screening.showAnswers",
  "erasure.erase",
  "retention.remove",
  "ownData.export",
  "release.make",
  "audit.export",
]);

export function asksForPasswordAgain(action: StudyAction): boolean {
  return asksAgain.has(action);
}

export function isStudyAction(path: string): path is StudyAction {
  return Object.hasOwn(roleTable, path);
}

export function mayDo(role: Role, action: StudyAction): boolean {
  const roles: readonly Role[] = roleTable[action];
  return roles.includes(role);
}

export const roleNames: Readonly<Record<Role, string>> = {
  lead_investigator: "lead investigator",
  operator: "operator",
  analyst: "analyst",
  observer: "observer",
};
