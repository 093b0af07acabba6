// One decision as it is typed and sent. A colleague's decision of the same week that was not in sight is shown before
// this one can be sent.
import { type Signal, useSignal } from "@preact/signals";
import type { Problem } from "../../../data/problem";
import type { Decided, Decision, DecisionOutcome, ReviewRow } from "../../../data/review-shapes";
import { clinicDay } from "../../../data/time";
import { uuid7 } from "../../../data/uuid7";
import { type KeptForm, useKept } from "../../kept";
import { useSending } from "../../sending";
import { bodyOf, EMPTY, type Obstacle, obstacle, type Typed } from "./decided";
import type { Work } from "./work";

export interface FormHandle {
  readonly choose: (outcome: DecisionOutcome) => void;
  readonly isReady: () => boolean;
  readonly save: () => void;
}

export interface Deciding {
  readonly form: KeptForm<Typed>;
  readonly busy: Signal<boolean>;
  readonly problem: Signal<Problem | null>;
  readonly found: Signal<Obstacle | null>;
  /** The draft referral that the decision began. */
  readonly drafted: Signal<string | null>;
  readonly today: string;
  readonly edit: (changed: Partial<Typed>) => void;
  readonly save: () => Promise<void>;
}

export function useDecision(row: ReviewRow, work: Work): Deciding {
  const form = useKept<Typed>(`decision-${row.access.id}`, EMPTY);
  const { busy, problem, step } = useSending();
  const found = useSignal<Obstacle | null>(null);
  const drafted = useSignal<string | null>(null);
  const today = clinicDay(new Date());

  async function save(): Promise<void> {
    const typed = form.texts.value;
    found.value = obstacle(typed, today);
    if (found.value || busy.value) return;
    const made = await step<Decided>("PUT", `decisions/${typed.id}`, bodyOf(typed, row));
    if (made) {
      form.done();
      drafted.value = made.referral;
      work.decided(row, made);
      return;
    }
    const theirs = problem.value?.status === 409 && problem.value.body["theirs"];
    if (theirs) work.seen(row, theirs as Decision);
  }

  const edit = (changed: Partial<Typed>): void => form.change({ id: form.texts.value.id || uuid7(), ...changed });
  return { form, busy, problem, found, drafted, today, edit, save };
}
