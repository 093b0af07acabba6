// One timed test as it is entered: its form kept on the device from the first tap, sent when asked for, and the result
// that the server worked out. Kept apart from the treatment, which is one document of many parts.
import { type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { call } from "../../../data/api";
import { type Base, draftOf, drafts, type Refusal } from "../../../data/drafts";
import { keepTyped, type Saved, save, stateFrom, stateOf } from "../../../data/saving";
import { session } from "../../../data/session";
import type { Flag } from "../../../data/shapes";
import { type Document, formOf, type TestForm } from "../../../data/test-forms";
import { uuid7 } from "../../../data/uuid7";

export type Kind = "recirculations" | "flows";
export type Result = Readonly<Record<string, unknown>>;

interface Stored {
  readonly version: number;
  readonly document: Document;
  readonly result: Result;
}

export interface TestRecord {
  readonly id: string;
  readonly kind: Kind;
  readonly form: Signal<TestForm>;
  readonly result: ReadonlySignal<Result | null>;
  /** The findings that stand since this very measurement was saved. */
  readonly flags: ReadonlySignal<readonly Flag[]>;
  readonly refused: ReadonlySignal<Refusal | null>;
  /** Whether it was stored before, so that a change needs its reason. */
  readonly stored: ReadonlySignal<boolean>;
  readonly change: (changed: Partial<TestForm>) => void;
  readonly send: (reason: string) => Promise<void>;
}

/** A test that was stored, as when the laboratory's values have come. */
export async function openStored(kind: Kind, id: string): Promise<TestRecord> {
  const [{ data }, draft] = await Promise.all([call<Stored>(`${kind}/${id}`), draftOf(id)]);
  const form = (draft?.parts["form"]?.value as TestForm | undefined) ?? formOf(data.document);
  const base = draft?.base ?? { version: data.version, document: data.document };
  return recordOf({ kind, id, base, form, result: data.result, refused: draft?.refused ?? null });
}

/** A new test of this kind, or the one of this patient that was begun on this device and not sent. */
export async function openNew(kind: Kind, begun: TestForm): Promise<TestRecord> {
  const all = await drafts();
  const mine = all.find((draft) => draft.kind === kind && patientOf(draft.parts["form"]?.value) === begun.patient);
  const form = (mine?.parts["form"]?.value as TestForm | undefined) ?? begun;
  const base: Base = mine?.base ?? { version: "new", document: null };
  return recordOf({ kind, id: mine?.id ?? uuid7(), base, form, result: null, refused: mine?.refused ?? null });
}

const patientOf = (form: unknown): string => (form as TestForm | undefined)?.patient ?? "";

interface Given {
  readonly kind: Kind;
  readonly id: string;
  readonly base: Base;
  readonly form: TestForm;
  readonly result: Result | null;
  readonly refused: Refusal | null;
}

function recordOf(given: Given): TestRecord {
  const { kind, id } = given;
  const form = signal(given.form);
  const result = signal(given.result);
  const flags = signal<readonly Flag[]>([]);
  const refused = signal(given.refused);
  const stored = signal(given.base.version !== "new");
  let base = given.base;
  let writes: Promise<unknown> = draftOf(id).then((draft) => {
    stateOf(id).value = stateFrom(draft);
  });
  const write = (typed: Readonly<Record<string, unknown>>) => {
    const author = session.value?.user?.id ?? "";
    writes = writes.then(() => keepTyped(id, typed, { kind, author, base }));
  };
  return {
    id,
    kind,
    form,
    result,
    flags,
    refused,
    stored,
    change(changed) {
      form.value = { ...form.value, ...changed };
      write({ form: form.value });
    },
    async send(reason) {
      write({ form: form.value, ...(reason ? { reason } : {}) });
      await writes;
      const outcome = await save(id, ["form", "reason"]);
      if (outcome.kind === "sent") {
        const saved = outcome.saved as Saved<Document>;
        base = { version: saved.version, document: saved.document };
        result.value = saved.result ?? null;
        flags.value = saved.flags.filter((flag) => isAt(flag.last_seen, saved.document["measured_at"]));
        stored.value = true;
      }
      refused.value = (await draftOf(id))?.refused ?? null;
    },
  };
}

const isAt = (seen: string, measured: unknown): boolean => Date.parse(seen) === Date.parse(String(measured));
