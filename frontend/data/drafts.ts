// What is typed in a form is kept here at once, by document and part, and is deleted only when
// the server has answered for it. A save under way stands beside what was typed with its save_id, so that asking again
// after a lost answer can never save twice. It sends nothing.
import * as store from "./store";

export interface Typed {
  readonly value: unknown;
  /** Grows with each change, so that an answer deletes only what it speaks of. */
  readonly turn: number;
}

/** What the typing started from: the server's document and its version, `new` where there was none. */
export interface Base {
  readonly version: number | "new";
  readonly document: unknown;
}

export interface Pending {
  readonly saveId: string;
  readonly version: number | "new";
  readonly body: Readonly<Record<string, unknown>>;
  /** The parts in it, each at the turn at which it was sent. */
  readonly turns: Readonly<Record<string, number>>;
}

export interface Refusal {
  readonly status: number;
  readonly words: string;
  readonly fields: readonly { readonly field: string; readonly text: string }[];
  /** The server's problem document, which holds both versions when a part was changed on both sides. */
  readonly body: Readonly<Record<string, unknown>>;
}

export interface Draft {
  readonly id: string;
  /** The collection it is saved to, such as `treatments`. */
  readonly kind: string;
  readonly author: string;
  readonly keptAt: string;
  readonly base: Base;
  readonly parts: Readonly<Record<string, Typed>>;
  /** The parts that the person asked to send, each at the turn at which it was asked. */
  readonly wanted: Readonly<Record<string, number>>;
  readonly pending: Pending | null;
  readonly refused: Refusal | null;
}

export type Whose = Pick<Draft, "kind" | "author" | "base">;

export function draftOf(id: string): Promise<Draft | undefined> {
  return store.one<Draft>(id);
}

export function drafts(): Promise<Draft[]> {
  return store.all<Draft>();
}

/** Changes one draft; one with nothing in it goes. */
function change(id: string, how: (draft: Draft | undefined) => Draft | undefined): Promise<Draft | undefined> {
  return store.change<Draft>(id, (stood) => {
    const next = how(stood);
    return next && (Object.keys(next.parts).length > 0 || next.pending) ? next : undefined;
  });
}

/** Keeps typed parts; the base is taken once, when the typing starts. */
export async function keep(
  id: string,
  typed: Readonly<Record<string, unknown>>,
  whose: Whose,
): Promise<Draft | undefined> {
  return change(id, (draft) => {
    const parts = { ...draft?.parts };
    for (const [part, value] of Object.entries(typed)) parts[part] = { value, turn: (parts[part]?.turn ?? 0) + 1 };
    const keptAt = new Date().toISOString();
    const fresh = { wanted: {}, pending: null, refused: null };
    return { ...fresh, ...whose, ...draft, author: whose.author, id, keptAt, parts };
  });
}

/** Notes which parts the person asked to send. */
export async function want(id: string, parts: readonly string[]): Promise<Draft | undefined> {
  return change(id, (draft) => {
    if (!draft) return undefined;
    const wanted = { ...draft.wanted };
    for (const part of parts) {
      const typed = draft.parts[part];
      if (typed) wanted[part] = typed.turn;
    }
    return { ...draft, wanted, refused: null };
  });
}

/** Notes a save before it is sent; what is pending stays, since its answer is owed, and what was refused waits. */
export async function begin(id: string, make: (draft: Draft) => Pending | null): Promise<Draft | undefined> {
  return change(id, (draft) => {
    if (!draft || draft.pending || draft.refused) return draft;
    return { ...draft, pending: make(draft) };
  });
}

/** The server has answered: what it answered for goes, what was typed since stays, on the version it holds now. */
export async function answered(id: string, base: Base): Promise<Draft | undefined> {
  return change(id, (draft) => {
    if (!draft?.pending) return draft;
    const { turns } = draft.pending;
    const parts = Object.entries(draft.parts).filter(([part, typed]) => turns[part] !== typed.turn);
    const wanted = Object.entries(draft.wanted).filter(([part, turn]) => turns[part] !== turn);
    const left = { parts: Object.fromEntries(parts), wanted: Object.fromEntries(wanted) };
    return { ...draft, ...left, base, pending: null, refused: null };
  });
}

/** The server refused: nothing of it was stored, so the save is over and what was typed stays with the reason. */
export async function refuse(id: string, refused: Refusal): Promise<Draft | undefined> {
  return change(id, (draft) => draft && { ...draft, pending: null, refused });
}

/** Goes on from another version of the document, as when two people changed one part and a person chose. */
export async function rebase(id: string, base: Base): Promise<Draft | undefined> {
  return change(id, (draft) => draft && { ...draft, base, refused: null });
}

/** Takes typed parts back, by the person's own wish. */
export async function takeBack(id: string, gone: readonly string[]): Promise<Draft | undefined> {
  return change(id, (draft) => {
    if (!draft) return undefined;
    const left = Object.entries(draft.parts).filter(([part]) => !gone.includes(part));
    return { ...draft, parts: Object.fromEntries(left) };
  });
}
