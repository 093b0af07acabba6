// What a key means on the weekly list. Letters and digits count only while a row of the list has the focus, so that
// nobody decides by typing a note. Pure: it moves nothing itself.
import type { DecisionOutcome } from "../../../data/review-shapes";

/** The four outcomes in the order of their keys, 1 to 4. */
export const OUTCOMES: readonly DecisionOutcome[] = ["no change", "check again", "refer", "already planned"];

export type Where = "list" | "form";

export type Meaning =
  | { readonly do: "move"; readonly by: 1 | -1 }
  | { readonly do: "end"; readonly last: boolean }
  | { readonly do: "choose"; readonly outcome: DecisionOutcome }
  | { readonly do: "save" | "leave" };

interface Key {
  readonly key: string;
  readonly shiftKey: boolean;
  readonly ctrlKey: boolean;
  readonly altKey: boolean;
  readonly metaKey: boolean;
}

const MOVES: Readonly<Record<string, 1 | -1>> = { ArrowDown: 1, j: 1, ArrowUp: -1, k: -1 };

export function meaningOf(pressed: Key, where: Where): Meaning | null {
  const { key, shiftKey, ctrlKey, altKey, metaKey } = pressed;
  if (ctrlKey || altKey || metaKey) return null;
  if (key === "Escape") return { do: "leave" };
  if (key === "Enter" && !shiftKey) return { do: "save" };
  if (where === "form" || shiftKey) return null;
  if (key === "Home" || key === "End") return { do: "end", last: key === "End" };
  const by = MOVES[key];
  if (by) return { do: "move", by };
  const outcome = /^[1-4]$/.test(key) ? OUTCOMES[Number(key) - 1] : undefined;
  return outcome ? { do: "choose", outcome } : null;
}
