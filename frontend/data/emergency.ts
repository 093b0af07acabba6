// Looks findings up in the emergency table that the server sent, so that the stop panel works without a network. It
// holds no condition of its own: what stops the screen, how soon and what is done first is all in the table.
import type { Urgency, Zone } from "./shapes";

type Readings = Readonly<Record<string, readonly string[]>>;

export interface EmergencyRow {
  readonly id: string;
  readonly title: string;
  readonly when: readonly { readonly seen: Readings; readonly unless: Readings; readonly before: Readings }[];
  readonly zone: { readonly why: string; readonly days: number } | null;
  readonly urgency: Urgency;
  readonly time_in_words: string;
  readonly stop: boolean;
  readonly keep_off: string;
  readonly first: readonly string[];
  readonly second_examiner: boolean;
  readonly needs_who_was_told: boolean;
  readonly needs_reason_to_needle: boolean;
  readonly needs_physician_to_needle: boolean;
  readonly source: string;
}

type Findings = Readonly<Record<string, string>>;

const ORDER: readonly Urgency[] = ["stat", "asap", "urgent", "routine"];
const DAY_MS = 86_400_000;

const has = (readings: Readings, findings: Findings): boolean =>
  Object.entries(readings).every(([field, allowed]) => allowed.includes(findings[field] ?? ""));

const hasAny = (readings: Readings, findings: Findings): boolean =>
  Object.entries(readings).some(([field, allowed]) => allowed.includes(findings[field] ?? ""));

export interface Seen {
  /** What each examiner of the occasion found: each counts by itself, filled up with what the others found. */
  readonly looks: readonly Findings[];
  /** The words of each field, the normal one first and the worst last. */
  readonly words?: Readonly<Record<string, readonly string[]>>;
  /** What the skin at the needle sites looks like: each counts as the skin over the access. */
  readonly skins?: readonly string[];
  /** The findings of the occasion before. */
  readonly before?: Findings;
  readonly zones?: readonly Zone[];
  readonly now?: Date;
}

/** The rows that are met, most urgent first. */
export function emergencies(table: readonly EmergencyRow[], seen: Seen): EmergencyRow[] {
  const { looks, words = {}, skins = [], before = {} } = seen;
  const worst: Record<string, string> = {};
  const oddness = (field: string, word = ""): number => words[field]?.indexOf(word) ?? -1;
  for (const [field, word] of looks.flatMap(Object.entries))
    if (oddness(field, word) > oddness(field, worst[field])) worst[field] = word;
  const own = looks.filter((look) => Object.keys(look).length);
  const views = (own.length ? own : [{}]).flatMap((look) => {
    const view = { ...worst, ...look };
    return [view, ...skins.filter(Boolean).map((skin) => ({ ...view, skin }))];
  });
  return table
    .filter((row) => views.some((view) => met(row, view, before)) || oldZone(row, seen))
    .sort((one, other) => ORDER.indexOf(one.urgency) - ORDER.indexOf(other.urgency));
}

function met(row: EmergencyRow, findings: Findings, before: Findings): boolean {
  return row.when.some(
    (condition) =>
      has(condition.seen, findings) && has(condition.before, before) && !hasAny(condition.unless, findings),
  );
}

function oldZone({ zone }: EmergencyRow, { zones = [], now }: Seen): boolean {
  if (!zone || !now) return false;
  return zones.some(
    ({ why, since }) =>
      why === zone.why && Math.floor((now.getTime() - new Date(since).getTime()) / DAY_MS) > zone.days,
  );
}

/** What still has to be said before needles may go in; empty when nothing stands in the way. */
export function missingToNeedle(
  rows: readonly EmergencyRow[],
  { needling_reason, needling_physician }: { readonly needling_reason: string; readonly needling_physician: string },
): string {
  if (rows.some((row) => row.needs_physician_to_needle) && !needling_physician.trim())
    return "Needling waits for the physician’s name and a reason.";
  if (rows.some((row) => row.needs_reason_to_needle) && !needling_reason.trim()) return "Needling waits for a reason.";
  return "";
}
