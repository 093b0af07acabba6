// What a row of the weekly list says in its last line: how long, what was decided, where the referral stands. Pure.
import { dayOf, openFor } from "../../../data/days";
import type { ReviewRow } from "../../../data/review-shapes";
import { outcomeWords } from "../../parts/decision-words";
import { decidedIn } from "./decided";

/** How long the weightiest finding is there, and the oldest where there are several. */
export function howLong({ flags, weeks_open }: Pick<ReviewRow, "flags" | "weeks_open">): string {
  const [first] = flags;
  if (!first || flags.length === 1) return openFor(weeks_open);
  return `since ${dayOf(first.since)}; ${flags.length} findings, the oldest ${openFor(weeks_open)}`;
}

export function lastLine(row: ReviewRow, week: string): string {
  const { last_decision: last, referral } = row;
  const when = last && decidedIn(week, row) ? "✓ this week" : last && dayOf(last.week);
  const decision = last ? `${when}: ${outcomeWords(last)}` : "not decided before";
  return [howLong(row), decision, referral && `referral ${referral.state}`].filter(Boolean).join(" · ");
}
