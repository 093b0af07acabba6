// What a person enters about an access beside its treatments: an event, a stretch to mind, a hold. Pure: from the typed
// texts to the document that is sent, and what is still in the way in words.
import { numberOf } from "../../../data/lookups";

export type Kind = "events" | "zones" | "holds";
export type Texts = Readonly<Record<string, string>>;

export interface Field {
  readonly name: string;
  readonly label: string;
  readonly type: "word" | "day" | "number" | "text";
  /** The vocabulary of a word, the unit of a number. */
  readonly of?: string;
  readonly most?: number;
  /** What to say while it is missing; without it the field may stay empty. */
  readonly needed?: string;
  /** The day may lie ahead. */
  readonly ahead?: boolean;
}

export interface RecordKind {
  readonly act: string;
  readonly title: string;
  readonly save: string;
  readonly fields: readonly Field[];
}

const PLACE: Field = { name: "where_cm", label: "Where, from the anastomosis", type: "number", of: "cm" };

export const KINDS: Readonly<Record<Kind, RecordKind>> = {
  events: {
    act: "event:change",
    title: "Record an event",
    save: "Save the event",
    fields: [
      { name: "what", label: "What", type: "word", of: "events", needed: "Say what was done or what happened." },
      { name: "on", label: "On", type: "day", needed: "Say on which day." },
      { name: "where_words", label: "Where, in words", type: "text", most: 80 },
      PLACE,
      { name: "degree_percent", label: "Narrowed by", type: "number", of: "%" },
      { name: "outcome", label: "Result", type: "text", most: 400 },
    ],
  },
  zones: {
    act: "zone:change",
    title: "Mark a stretch",
    save: "Save the stretch",
    fields: [
      { name: "action", label: "What to do there", type: "word", of: "zone_actions", needed: "Say what to do there." },
      { name: "why", label: "Why", type: "word", of: "zone_whys", needed: "Say why." },
      { ...PLACE, name: "from_cm", label: "From", needed: "Say where it begins." },
      { ...PLACE, name: "to_cm", label: "To", needed: "Say where it ends." },
      { name: "since", label: "Since", type: "day", needed: "Say since which day." },
      { name: "until", label: "Until, if known", type: "day", ahead: true },
      { name: "note", label: "Note", type: "text", most: 200 },
    ],
  },
  holds: {
    act: "hold:change",
    title: "Hold the needles",
    save: "Save the hold",
    fields: [
      { name: "why", label: "Why it is not to be needled", type: "text", most: 200, needed: "Say why." },
      { name: "since", label: "Since", type: "day", needed: "Say since which day." },
      { name: "until", label: "Until, if known", type: "day", ahead: true },
    ],
  },
};

export interface Obstacle {
  readonly field: string;
  readonly text: string;
}

/** What is still in the way of sending, field by field; the server judges the rest. */
export function obstacles(kind: Kind, texts: Texts, today: string): Obstacle[] {
  return KINDS[kind].fields.flatMap(({ name, type, needed, ahead }) => {
    const text = (texts[name] ?? "").trim();
    const said = (words: string): Obstacle[] => [{ field: name, text: words }];
    if (!text) return needed ? said(needed) : [];
    if (type === "number" && Number.isNaN(numberOf(text))) return said("This is not a number.");
    return type === "day" && !ahead && text > today ? said("This day lies in the future.") : [];
  });
}

export interface Whose {
  readonly patient: string;
  readonly access: string;
  readonly now: string;
}

/** The document as the server takes it: an empty number or day is missing, never zero. */
export function documentOf(kind: Kind, texts: Texts, whose: Whose): Readonly<Record<string, unknown>> {
  const typed = KINDS[kind].fields.map(({ name, type }) => {
    const text = (texts[name] ?? "").trim();
    if (type === "number") return [name, numberOf(text)];
    return [name, type === "day" && !text ? null : text];
  });
  const { patient, access, now } = whose;
  const seen = kind === "events" ? { patient, treatment: null, measured_at: now } : {};
  return { ...seen, access, ...Object.fromEntries(typed) };
}
