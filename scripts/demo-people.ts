import { type DemoClient, demoClient, type ServerAddress, signIn } from "./demo-client";

/** The demo's accounts. All invented; example.org belongs to nobody (RFC 2606), and the passwords are no secret. */
interface DemoPerson {
  readonly name: string;
  readonly email: string;
  readonly password: string;
}

const lead: DemoPerson = {
  name: "Lena Quayside",
  email: "lead@example.org",
  password: "grey-gulls-over-slate",
};

const invited = [
  {
    role: "operator",
    name: "Otto Ferryman",
    email: "operator@example.org",
    password: "salt-on-seven-windows",
  },
  { role: "analyst", name: "Anna Beacon", email: "analyst@example.org", password: "nine-lanterns-at-dusk" },
  {
    role: "observer",
    name: "Olga Lighthouse",
    email: "observer@example.org",
    password: "two-kettles-in-the-fog",
  },
] as const satisfies readonly (DemoPerson & { role: "operator" | "analyst" | "observer" })[];

/** What the terminal prints for signing in. */
export const signInLines: readonly string[] = [{ ...lead, role: "lead investigator" }, ...invited].map(
  ({ email, password, role }) => `${email.padEnd(22)} ${password.padEnd(23)} ${role}`,
);

/** The sign-in of the first of them, for the script that takes the pictures. */
export const leadSignIn = { email: lead.email, password: lead.password };

/**
 * The demo's lead investigator, signed in; the account is created while no account exists. Null when there are accounts
 * and this one is not among them.
 */
export async function enterAsLead(
  address: ServerAddress,
  firstAccountCode: string | null,
): Promise<DemoClient | null> {
  if (firstAccountCode !== null) {
    await demoClient(address).api.account.createFirst.mutate({ code: firstAccountCode, ...lead });
  }
  return signIn(address, lead.email, lead.password);
}

/** Those who do the work of the demo; the lead stands in for whoever left the team or changed the password. */
export interface DemoTeam {
  readonly lead: DemoClient;
  readonly operator: DemoClient;
  readonly analyst: DemoClient;
}

/** Invites whoever was never in the team, and accepts for them. An invitation whose link was lost is renewed. */
export async function gatherTeam(
  address: ServerAddress,
  lead: DemoClient,
  studyId: string,
): Promise<DemoTeam> {
  const { members, invitations } = await lead.api.team.list.query({ studyId });
  for (const { role, name, email, password } of invited) {
    const own = invitations.filter((invitation) => invitation.email === email);
    const wasMember =
      members.some((member) => member.email === email) || own.some(({ state }) => state === "accepted");
    if (wasMember) continue;
    for (const { invitationId } of own.filter(({ state }) => state === "open")) {
      await lead.api.team.revokeInvitation.mutate({ studyId, invitationId });
    }
    const { token } = await lead.api.team.invite.mutate({ studyId, email, role });
    await demoClient(address).api.account.acceptInvitation.mutate({ token, name, password });
  }
  const team = await lead.api.team.list.query({ studyId });
  const inRole = async (wanted: "operator" | "analyst"): Promise<DemoClient> => {
    const person = invited.find(({ role }) => role === wanted);
    const member = team.members.find(({ email, role }) => email === person?.email && role === wanted);
    if (person === undefined || member === undefined) return lead;
    return (await signIn(address, person.email, person.password)) ?? lead;
  };
  return { lead, operator: await inRole("operator"), analyst: await inRole("analyst") };
}
