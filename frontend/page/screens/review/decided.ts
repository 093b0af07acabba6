// The rules of the form beside the weekly list: what must be said before a decision is sent, the body that is sent, and
// which rows were decided this week. Pure.
import { daysAfter } from "../../../data/days";
import type { Decision, DecisionOutcome, ReviewRow } from "../../../data/review-shapes";

export interface Typed extends Readonly<Record<string, string>> {
  /** The decision's id, made when its typing starts, so that sending it twice makes one decision. */
  readonly id: string;
  readonly outcome: DecisionOutcome | "";
  readonly note: string;
  readonly check_again_on: string;
}

export const EMPTY: Typed = { id: "", outcome: "", note: "", check_again_on: "" };

export interface Obstacle {
  readonly field: "outcome" | "check_again_on";
  readonly text: string;
}

export function obstacle(typed: Typed, today: string): Obstacle | null {
  if (!typed.outcome) return { field: "outcome", text: "Choose one of the four outcomes." };
  if (typed.outcome !== "check again") return null;
  if (!typed.check_again_on) return { field: "check_again_on", text: "Say by which day it is to be checked again." };
  if (typed.check_again_on <= today) return { field: "check_again_on", text: "This day is not after today." };
  return null;
}

/** The body of a decision; it names the last decision that was in sight, so that a colleague's is never overlooked. */
export function bodyOf(typed: Typed, row: ReviewRow): Readonly<Record<string, unknown>> {
  return {
    access: row.access.id,
    outcome: typed.outcome,
    note: typed.note.trim(),
    check_again_on: typed.outcome === "check again" ? typed.check_again_on : null,
    after: row.last_decision?.id ?? null,
  };
}

/** The decision of this week, if there is one. */
export function decidedIn(week: string, row: ReviewRow): Decision | null {
  return row.last_decision?.week === week ? row.last_decision : null;
}

/** The rows with one decision put in the place of the last one about its access. */
export function withDecision(rows: readonly ReviewRow[], access: string, decision: Decision): ReviewRow[] {
  const { check_again_on } = decision;
  return rows.map((row) => (row.access.id === access ? { ...row, last_decision: decision, check_again_on } : row));
}

/** The next row that was not decided this week, from a row on and round to the start; none when all are. */
export function nextOpen(rows: readonly ReviewRow[], from: number, week: string): number | null {
  for (let step = 1; step <= rows.length; step++) {
    const index = (from + step) % rows.length;
    const row = rows[index];
    if (row && !decidedIn(week, row)) return index;
  }
  return null;
}

/** Days that are often chosen, offered to be tapped and never chosen beforehand. */
export function usualDays(today: string): readonly (readonly [words: string, day: string])[] {
  return [1, 2, 4].map((weeks) => [`in ${weeks} week${weeks > 1 ? "s" : ""}`, daysAfter(today, 7 * weeks)]);
}
