// Sends what waits on the device: one save a document, one sender at a time, the same save_id until the server has
// answered. It deletes nothing that was typed unless the server answered for it, and it can send without any screen.
import { type Signal, signal } from "@preact/signals-core";
import { call } from "./api";
import { bodyOf } from "./bodies";
import { answered, begin, type Draft, drafts, keep, type Pending, refuse, type Whose, want } from "./drafts";
import { Problem, Unreachable } from "./problem";
import { session } from "./session";
import type { Ask, Flag } from "./shapes";
import { uuid7 } from "./uuid7";

/** The answer to a save; the document is of the kind that was sent. */
export interface Saved<Document = unknown> {
  readonly id: string;
  readonly version: number;
  readonly document: Document;
  readonly asks: readonly Ask[];
  readonly flags: readonly Flag[];
  readonly possibly_same: string | null;
  readonly received_at: string;
  readonly result?: Readonly<Record<string, unknown>>;
}

export type SaveState =
  | { readonly what: "nothing" }
  | { readonly what: "saved here" | "sent"; readonly at: string }
  | { readonly what: "needs you"; readonly words: string };

export type Outcome =
  | { readonly kind: "sent"; readonly saved: Saved; readonly draft: Draft | undefined }
  | { readonly kind: "refused" | "conflict"; readonly problem: Problem }
  | { readonly kind: "waiting" };

const states = new Map<string, Signal<SaveState>>();
/** The last answer that came, also one that a try in the background brought. */
export const lastOutcome = signal<{ readonly id: string; readonly outcome: Outcome } | null>(null);
/** How many documents wait on this device. */
export const waiting = signal(0);

export function stateOf(id: string): Signal<SaveState> {
  let state = states.get(id);
  if (!state) {
    state = signal<SaveState>({ what: "nothing" });
    states.set(id, state);
  }
  return state;
}

export function stateFrom(draft: Draft | undefined): SaveState {
  if (!draft) return { what: "nothing" };
  if (draft.refused) return { what: "needs you", words: draft.refused.words };
  return { what: "saved here", at: draft.keptAt };
}

/** Keeps typed parts on the device, at once. */
export async function keepTyped(id: string, typed: Readonly<Record<string, unknown>>, whose: Whose): Promise<void> {
  stateOf(id).value = stateFrom(await keep(id, typed, whose));
  waiting.value = (await drafts()).length;
}

/** Asks for parts to be sent and sends them, now or as soon as the server can be reached. */
export async function save(id: string, parts: readonly string[]): Promise<Outcome> {
  stateOf(id).value = stateFrom(await want(id, parts));
  return sendInTurn(id);
}

/** Tries again for each document with something to send; the order does not matter, since each is whole. */
export async function sendWaiting(): Promise<void> {
  const all = await drafts();
  waiting.value = all.length;
  for (const draft of all) {
    const owed = draft.pending !== null || Object.keys(draft.wanted).length > 0;
    if (owed && (await sendInTurn(draft.id)).kind === "waiting") return;
  }
}

function sendInTurn(id: string): Promise<Outcome> {
  return navigator.locks.request("ropeladder-send", () => sendAll(id));
}

// A save whose answer is still owed goes first; then what was asked for since.
async function sendAll(id: string): Promise<Outcome> {
  let outcome: Outcome = { kind: "waiting" };
  for (;;) {
    const draft = await begin(id, pendingOf);
    if (!draft?.pending) return outcome;
    outcome = await put(draft, draft.pending);
    waiting.value = (await drafts()).length;
    lastOutcome.value = { id, outcome };
    if (outcome.kind !== "sent") return outcome;
  }
}

function pendingOf(draft: Draft): Pending | null {
  const parts = Object.entries(draft.parts).filter(([part]) => part in draft.wanted);
  if (parts.length === 0) return null;
  const values = Object.fromEntries(parts.map(([part, typed]) => [part, typed.value]));
  const turns = Object.fromEntries(parts.map(([part, typed]) => [part, typed.turn]));
  return { saveId: uuid7(), version: draft.base.version, body: bodyOf(draft.kind, draft.base.document, values), turns };
}

async function put(draft: Draft, pending: Pending): Promise<Outcome> {
  const who = {
    recorded_by: draft.author,
    device: session.value?.device ?? null,
    device_now: new Date().toISOString(),
  };
  const body = { save_id: pending.saveId, ...who, reason: "", ...pending.body };
  try {
    const { version } = pending;
    const { data } = await call<Saved>(`${draft.kind}/${draft.id}`, { method: "PUT", body, version });
    const left = await answered(draft.id, { version: data.version, document: data.document });
    stateOf(draft.id).value = left ? stateFrom(left) : { what: "sent", at: data.received_at };
    return { kind: "sent", saved: data, draft: left };
  } catch (fault) {
    if (fault instanceof Unreachable || (fault instanceof Problem && mayPass(fault.status))) return { kind: "waiting" };
    if (!(fault instanceof Problem)) throw fault;
    const { status, words, fields, body: document } = fault;
    stateOf(draft.id).value = stateFrom(await refuse(draft.id, { status, words, fields, body: document }));
    return { kind: status === 409 ? "conflict" : "refused", problem: fault };
  }
}

// Signed out, too many requests, a server in trouble: nothing is wrong with the record, so it waits.
function mayPass(status: number): boolean {
  return status === 401 || status === 429 || status >= 500;
}
