// A reviewer's decision in one line.
import { dayOf } from "../../data/days";
import type { Decision } from "../../data/review-shapes";

export function outcomeWords({ outcome, check_again_on }: Pick<Decision, "outcome" | "check_again_on">): string {
  return outcome === "check again" && check_again_on ? `check again by ${dayOf(check_again_on)}` : outcome;
}

export function decisionWords(decision: Decision): string {
  const { note, reviewer } = decision;
  return `${outcomeWords(decision)}${note ? `: ${note}` : ""} (${reviewer})`;
}
