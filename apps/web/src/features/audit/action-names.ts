/** What an entry of the audit trail says was done. An action without a name here is shown by its identifier. */
const names: Readonly<Record<string, string>> = {
  "account.acceptInvitation": "invitation accepted",
  "account.changePassword": "password changed",
  "account.createFirst": "first account created",
  "study.create": "study created",
  "study.update": "study details changed",
  "team.invite": "invitation made",
  "team.revokeInvitation": "invitation revoked",
  "team.changeRole": "role changed",
  "team.remove": "member removed",
  "protocol.startDraft": "protocol draft started",
  "protocol.saveDraft": "protocol draft saved",
  "protocol.discardDraft": "protocol draft discarded",
  "protocol.putInForce": "protocol put in force",
  "volunteer.register": "volunteer registered",
  "volunteer.update": "volunteer details changed",
  "volunteer.addBodyMeasures": "body measures added",
  "volunteer.removeBodyMeasures": "body measures removed",
  "identity.reveal": "identity shown",
  "identity.search": "release searched for identities",
  "identity.save": "identity changed",
  "consent.startForm": "consent form draft started",
  "consent.saveForm": "consent form draft saved",
  "consent.discardForm": "consent form draft discarded",
  "consent.putFormInForce": "consent form put in force",
  "consent.record": "consent recorded",
  "consent.withdraw": "consent withdrawn",
  "trial.plan": "trial planned",
  "trial.saveRoom": "room entered",
  "trial.saveMarkers": "markers set",
  "trial.discard": "trial discarded",
  "trial.markChecked": "trial checked",
  "trial.accept": "trial accepted",
  "trial.setAside": "trial set aside",
  "trial.reopen": "trial reopened",
  "imaging.save": "imaging record saved",
  "sourceFile.read": "source file read",
  "sourceFile.setOffset": "source file placed in time",
  "sourceFile.takeBackOffset": "source file's placing taken back",
  "sourceFile.replace": "source file replaced",
  "sourceFile.putBack": "replaced source file put back",
  "sourceFile.remove": "source file removed",
  "columnMap.keep": "column map kept",
  "columnMap.change": "column map changed",
  "columnMap.rename": "column map renamed",
  "columnMap.remove": "column map removed",
  "file.upload": "source file uploaded",
  "quality.decide": "finding decided",
  "quality.clearDecision": "decision on a finding taken back",
  "quality.adjust": "adjustment made",
  "quality.undo": "adjustment undone",
  "quality.redo": "adjustment redone",
  "quality.reorder": "adjustments put in order",
  "quality.setBack": "adjustments undone by another reading",
  "comparison.create": "comparison saved",
  "comparison.change": "comparison changed",
  "comparison.answer": "comparison answered",
  "comparison.remove": "comparison removed",
  "release.make": "release made",
  "release.download": "release downloaded",
};

const known: ReadonlyMap<string, string> = new Map(Object.entries(names));

export function actionName(action: string): string {
  return known.get(action) ?? action;
}

/** For the filter: every action that has a name, by name. */
export const actionChoices = [...known]
  .map(([value, label]) => ({ value, label }))
  .sort((a, b) => a.label.localeCompare(b.label));
