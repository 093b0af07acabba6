// The list as it is worked through: its rows, which one is chosen, what was last said, and where the focus goes.
import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { get } from "../../../data/api";
import type { Decided, Decision, Review, ReviewRow } from "../../../data/review-shapes";
import { outcomeWords } from "../../parts/decision-words";
import { roomy } from "../../width";
import { decidedIn, nextOpen, withDecision } from "./decided";

export interface Work {
  readonly rows: Signal<readonly ReviewRow[]>;
  readonly next: Signal<string | null>;
  /** The index of the chosen row. */
  readonly chosen: Signal<number | null>;
  readonly said: Signal<string>;
  readonly goTo: (index: number) => Promise<void>;
  readonly more: () => Promise<void>;
  /** A decision was stored: say so, and go on to the next row that is open. */
  readonly decided: (row: ReviewRow, decision: Decided) => void;
  /** Another reviewer's decision came into sight. */
  readonly seen: (row: ReviewRow, theirs: Decision) => void;
  readonly backToRow: () => void;
}

export const idOf = (row: ReviewRow | undefined): string => `row-${row?.access.id}`;

export function useWork(review: Review): Work {
  const rows = useSignal(review.rows);
  const next = useSignal(review.next);
  const chosen = useSignal<number | null>(null);
  const said = useSignal("");
  useEffect(() => {
    if (roomy.value && chosen.value === null && rows.value.length > 0) chosen.value = 0;
  }, [roomy.value]);

  const focusRow = (index: number): void => document.getElementById(idOf(rows.value[index]))?.focus();

  async function more(): Promise<void> {
    if (!next.value) return;
    const page = await get<Review>(`review?cursor=${encodeURIComponent(next.value)}`).catch(() => null);
    if (!page) return;
    rows.value = [...rows.value, ...page.rows];
    next.value = page.next;
  }

  async function goTo(index: number): Promise<void> {
    if (index >= rows.value.length) await more();
    if (index < 0 || index >= rows.value.length) return;
    chosen.value = index;
    focusRow(index);
  }

  function decided({ access }: ReviewRow, decision: Decided): void {
    const at = chosen.value ?? 0;
    rows.value = withDecision(rows.value, access.id, decision);
    said.value = wordsFor(rows.value, at, decision, review.week);
    // A referral is offered to be opened before the list goes on.
    if (decision.referral) return;
    const open = nextOpen(rows.value, at, review.week);
    if (open !== null) void goTo(open);
    else focusRow(at);
  }

  return {
    rows,
    next,
    chosen,
    said,
    goTo,
    more,
    decided,
    seen({ access }, theirs) {
      rows.value = withDecision(rows.value, access.id, theirs);
    },
    backToRow: () => focusRow(chosen.value ?? 0),
  };
}

function wordsFor(rows: readonly ReviewRow[], at: number, decision: Decision, week: string): string {
  const done = rows.filter((row) => decidedIn(week, row)).length;
  return `${rows[at]?.patient.name}: ${outcomeWords(decision)}, saved. ${done} of ${rows.length} decided this week.`;
}
