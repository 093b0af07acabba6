// The needle log by day: the server's lines in its order, both needles of a day together, each with its letter.
import type { LogRow } from "../../../data/review-shapes";

export interface Puncture {
  readonly letter: "A" | "V" | "";
  readonly text: string;
}

export interface NeedleDay {
  readonly at: string;
  readonly punctures: readonly Puncture[];
}

// Said of nearly every needle; left out, so that what went otherwise stands out.
const AS_EVER = ", in use to the end";
const LETTERS = { arterial: "A", venous: "V" } as const;

function puncture(text: string): Puncture {
  for (const [role, letter] of Object.entries(LETTERS)) {
    if (text.startsWith(`${role}, `)) return { letter, text: text.slice(role.length + 2).replace(AS_EVER, "") };
  }
  return { letter: "", text };
}

export function byDay(rows: readonly LogRow[]): NeedleDay[] {
  const days = new Map<string, Puncture[]>();
  for (const { at, text } of rows) days.set(at, [...(days.get(at) ?? []), puncture(text)]);
  return [...days].map(([at, punctures]) => ({ at, punctures }));
}
