// What came of a referral, from the typed texts to the body that is sent. Pure.
import { numberOf } from "../../../data/lookups";

export interface TypedOutcome extends Readonly<Record<string, string>> {
  readonly what: string;
  readonly on: string;
  readonly where_words: string;
  readonly where_cm: string;
  readonly degree_percent: string;
  readonly outcome: string;
  readonly flags: string;
}

export const NOTHING_TYPED: TypedOutcome = {
  what: "",
  on: "",
  where_words: "",
  where_cm: "",
  degree_percent: "",
  outcome: "",
  flags: "",
};

export const NO_PROCEDURE = "no procedure";
export const FLAGS = ["close them", "keep them open"] as const;
// Things that happen to an access and are no answer to a referral.
const NO_ANSWERS = ["created", "first needled", "clotted", "infection"];

/** What may have been done, out of the vocabulary of events; nothing is one of the answers. */
export function procedures(events: readonly string[]): readonly string[] {
  return [...events.filter((event) => !NO_ANSWERS.includes(event)), NO_PROCEDURE];
}

export interface Obstacle {
  readonly field: string;
  readonly text: string;
}

export function obstacles(typed: TypedOutcome, today: string): Obstacle[] {
  const found: Obstacle[] = [];
  if (!typed.what) found.push({ field: "what", text: "Say what was done." });
  if (!typed.on) found.push({ field: "on", text: "Say on which day." });
  else if (typed.on > today) found.push({ field: "on", text: "This day lies in the future." });
  for (const field of ["where_cm", "degree_percent"] as const) {
    if (hasPlace(typed) && Number.isNaN(numberOf(typed[field]))) found.push({ field, text: "This is not a number." });
  }
  if (!typed.outcome.trim()) found.push({ field: "outcome", text: "Say what came of it." });
  if (!typed.flags) found.push({ field: "close_flags", text: "Say whether the flags are closed by this." });
  return found;
}

/** Whether a place and a degree belong to what was done. */
export function hasPlace({ what }: TypedOutcome): boolean {
  return what !== NO_PROCEDURE;
}

export function bodyOf(typed: TypedOutcome): Readonly<Record<string, unknown>> {
  const place = hasPlace(typed);
  return {
    on: typed.on,
    what: place ? typed.what : "",
    where_words: place ? typed.where_words.trim() : "",
    where_cm: place ? numberOf(typed.where_cm) : null,
    degree_percent: place ? numberOf(typed.degree_percent) : null,
    outcome: typed.outcome.trim(),
    close_flags: typed.flags === FLAGS[0],
  };
}
