// Who is signed in, at which clinic, with which rights; and whether that is known at all. Signed out and out of reach
// are two things: the first asks for a password, the second only waits. Nothing of it is kept on the device.
import { computed, effect, signal } from "@preact/signals-core";
import { type Call, call, reached, refusals, setCsrf } from "./api";
import { Problem, Unreachable } from "./problem";
import type { Session } from "./shapes";
import { type ClockStyle, setClinicTime } from "./time";

export type Standing = "asking" | "signed in" | "signed out" | "out of reach";

const held = signal<Session | null>(null);
export const standing = signal<Standing>("asking");

export const session = computed(() => held.value);
export const clinic = computed(() => held.value?.clinic ?? null);
/** By how much the device's clock is ahead of the server's, in milliseconds; null before the first answer. */
export const clockAhead = signal<number | null>(null);

export function may(act: string): boolean {
  return held.value?.acts.includes(act) ?? false;
}

function take(answer: Session): void {
  setCsrf(answer.csrf);
  clockAhead.value = Date.now() - new Date(answer.now).getTime();
  if (answer.clinic) setClinicTime(answer.clinic.time_zone, clockStyle(answer.clinic.clock_style));
  // A session that ran out keeps its last holder's screen and clinic in sight under the sign-in.
  if (answer.user || !held.value?.user) held.value = answer;
  standing.value = answer.user ? "signed in" : "signed out";
}

function clockStyle(word: string): ClockStyle {
  return word.startsWith("12") ? "12 h" : "24 h";
}

async function exchange(path: string, given: Call = {}): Promise<void> {
  take((await call<Session>(path, given)).data);
}

/** Asks the server who is signed in; what is not answered changes nothing but the standing. */
export async function ask(): Promise<void> {
  try {
    await exchange("session");
  } catch (fault) {
    // A server in trouble knows no more of who is signed in than one that cannot be reached.
    if (!(fault instanceof Unreachable || fault instanceof Problem)) throw fault;
    if (standing.value === "asking") standing.value = "out of reach";
  }
}

export async function signIn(username: string, password: string, deviceName = ""): Promise<void> {
  // Two first answers at once would leave a token that does not fit the cookie: a fresh one fits.
  await exchange("session");
  await exchange("session", { method: "POST", body: { username, password, device_name: deviceName } });
}

export async function signOut(): Promise<void> {
  await call("session", { method: "DELETE" });
  held.value = null;
  await ask();
}

export async function chooseClinic(id: string): Promise<void> {
  await exchange("session/clinic", { method: "PUT", body: { clinic: id } });
}

// Any request that is told "not signed in" makes it so for the whole page; what was typed stays where it is.
effect(() => {
  if (refusals.value > 0 && standing.peek() === "signed in") standing.value = "signed out";
});
effect(() => {
  if (reached.value && standing.peek() === "out of reach") void ask();
});
