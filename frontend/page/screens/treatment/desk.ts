// One treatment as a nurse works on it: what the server holds, what is typed over it, and the way back to both. Each
// change is kept on the device before anything else; answers that come later never overwrite what was typed since.
import { computed, effect, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { call } from "../../../data/api";
import { type Draft, draftOf, type Refusal, rebase, takeBack } from "../../../data/drafts";
import { Problem } from "../../../data/problem";
import { keepTyped, lastOutcome, type Saved, save, stateFrom, stateOf } from "../../../data/saving";
import { session } from "../../../data/session";
import type { TreatmentDocument, TreatmentPage } from "../../../data/shapes";
import { compose, type TypedParts, type TypedReading } from "../../../data/treatment";
import type { SitePlan } from "./sites";

/** What is typed: the parts that are sent, and two that are only kept while they are being worked on. */
export interface Typed extends TypedParts {
  readonly plan?: SitePlan;
  readonly reading?: TypedReading;
  /** The access that was chosen where a patient has several. */
  readonly access?: string;
}
export type Sent = keyof TypedParts;

export interface Desk {
  readonly id: string;
  readonly page: Signal<TreatmentPage>;
  readonly typed: ReadonlySignal<Typed>;
  readonly refused: ReadonlySignal<Refusal | null>;
  /** The document as it will be when everything typed is sent. */
  readonly document: ReadonlySignal<TreatmentDocument>;
  readonly change: (parts: Typed) => void;
  readonly drop: (...parts: (keyof Typed)[]) => void;
  readonly send: (...parts: Sent[]) => void;
  readonly chooseTheirs: (parts: readonly string[]) => Promise<void>;
  readonly chooseMine: () => Promise<void>;
  readonly close: () => void;
}

export async function openDesk(id: string): Promise<Desk> {
  const [{ data }, draft] = await Promise.all([call<TreatmentPage>(`treatments/${id}`), draftOf(id)]);
  return deskOf(id, data, draft);
}

const partsOf = (draft: Draft | undefined): Typed =>
  Object.fromEntries(Object.entries(draft?.parts ?? {}).map(([part, { value }]) => [part, value]));

function deskOf(id: string, given: TreatmentPage, draft: Draft | undefined): Desk {
  const page = signal(given);
  const typed = signal<Typed>(partsOf(draft));
  const refused = signal<Refusal | null>(draft?.refused ?? null);
  const document = computed(() => compose(page.value.document, typed.value));
  let writes: Promise<unknown> = Promise.resolve();
  let written = 0;
  stateOf(id).value = stateFrom(draft);

  function write(step: () => Promise<unknown>): void {
    written += 1;
    writes = writes.then(step, step);
  }

  // Waits until nothing is being written, so that the device's copy is the whole of what was typed.
  async function settle(): Promise<void> {
    let mark: number;
    let now: Draft | undefined;
    do {
      mark = written;
      await writes;
      now = await draftOf(id);
    } while (mark !== written);
    typed.value = partsOf(now);
    refused.value = now?.refused ?? null;
    if (stateOf(id).value.what !== "sent" || now) stateOf(id).value = stateFrom(now);
  }

  const close = effect(() => {
    const last = lastOutcome.value;
    if (last?.id !== id) return;
    if (last.outcome.kind === "sent")
      page.value = withAnswer(page.peek(), last.outcome.saved as Saved<TreatmentDocument>);
    void settle();
  });

  async function goOnFrom(conflict: Refusal | null): Promise<void> {
    const { theirs, version } = conflict?.body ?? {};
    if (typeof version !== "number") return;
    await rebase(id, { version, document: theirs });
    page.value = { ...page.value, version, document: theirs as TreatmentDocument };
  }

  return {
    id,
    page,
    typed,
    refused,
    document,
    close,
    change(parts) {
      typed.value = { ...typed.value, ...parts };
      const base = { version: page.value.version, document: page.value.document };
      const author = session.value?.user?.id ?? "";
      write(() => keepTyped(id, { ...parts }, { kind: "treatments", author, base }));
    },
    drop(...parts) {
      typed.value = Object.fromEntries(
        Object.entries(typed.value).filter(([part]) => !parts.includes(part as keyof Typed)),
      );
      write(() => takeBack(id, parts));
    },
    send(...parts) {
      write(() => Promise.resolve());
      void writes.then(() => save(id, [...parts, "reason"])).then(settle);
    },
    async chooseTheirs(parts) {
      await goOnFrom(refused.value);
      await takeBack(id, parts.map(typedNameOf));
      await save(id, []);
      await settle();
    },
    async chooseMine() {
      await goOnFrom(refused.value);
      await save(id, []);
      await settle();
    },
  };
}

// The server names the part by its list, the page by the one examination that is typed.
const typedNameOf = (part: string): string => (part === "examinations" ? "examination" : part);

function withAnswer(page: TreatmentPage, saved: Saved<TreatmentDocument>): TreatmentPage {
  const { version, document, asks, flags, possibly_same } = saved;
  const state = document.frame.state;
  const others = page.flags.filter(({ id }) => !flags.some((flag) => flag.id === id));
  return { ...page, version, document, state, asks, flags: [...flags, ...others], possibly_same };
}

/** What to say when a treatment cannot be opened. */
export function troubleOf(fault: unknown): Problem | "out of reach" {
  return fault instanceof Problem ? fault : "out of reach";
}
