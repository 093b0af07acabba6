// What the interactive map works out before it is drawn: which part is shown, where a tap puts a needle, where labels
// go so that none lies on another, and the distances in words. No DOM, nothing clinical.
import type { CentreLine, Point } from "../../data/centre-line";
import { shown } from "../../data/lookups";
import type { PastPuncture, Role, Zone } from "../../data/shapes";

export const STEP_CM = 0.5;
export const LETTER: Readonly<Record<Role, string>> = { arterial: "A", venous: "V" };
/** A site that rested longer carries neither age nor hatching; the server's drawings hold to the same. */
export const AGES_SHOWN_DAYS = 14;
const PHONE_PX = 360;
const TAP_REACH_CM = 3.5;
/** Room above and below the needled stretch, in units of the drawing. */
const ENDS = 26;

export type Sites = Readonly<Partial<Record<Role, number | null>>>;

export interface Stretch {
  readonly from: number;
  readonly to: number;
}

export interface Frame {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** One CSS pixel on a phone, in units of the drawing. */
  readonly unit: number;
  readonly columns: { readonly left: number; readonly right: number };
}

/** A vessel of unknown length is at least as long as it is needled. */
export function lengthOf(usual: number, lengthCm: number | null, neededToCm: number | null): number {
  return lengthCm ?? Math.max(usual, neededToCm ?? 0);
}

export function stretchOf(line: CentreLine, from: number | null, to: number | null): Stretch {
  const end = Math.min(to ?? line.lengthCm, line.lengthCm);
  return { from: Math.min(Math.max(from ?? 0, 0), end), to: end };
}

/** Whether the vessel comes back to the height at which it began. */
function isLoop(line: CentreLine): boolean {
  return Math.abs(line.pointAt(0).y - line.pointAt(line.lengthCm).y) < 40;
}

/** The needled stretch with room for its labels: at the outer side of a loop's limbs, else at the thumb's side. */
export function frameFor(line: CentreLine, { from, to }: Stretch): Frame {
  const along = Array.from({ length: 41 }, (_, step) => from + ((to - from) * step) / 40);
  if (isLoop(line)) along.push(0, line.lengthCm); // Which of its limbs is the arterial one must stay in sight.
  const points = along.map((cm) => line.pointAt(cm));
  const outward = along.map((cm) => line.outwardAt(cm).x);
  const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
  const [first, last] = [Math.min(...xs), Math.max(...xs)];
  const room = (labelled: boolean): number => (labelled ? 92 : 72);
  const left = first - room(outward.some((x) => x < -0.5));
  const width = last + room(outward.some((x) => x > 0.5)) - left;
  const top = Math.min(...ys) - ENDS;
  const height = Math.max(...ys) + ENDS - top;
  return { left, top, width, height, unit: width / PHONE_PX, columns: { left: first - 26, right: last + 26 } };
}

/**
 * The half centimetre of the vessel that a tap means; null where it lies too far off to mean any. The offset is how far
 * from a needle's place (cm along the vessel) a finger took hold of it, so that a touch alone never moves it.
 */
export function tapped(line: CentreLine, { x, y }: Point, offset = 0): number | null {
  const { along_cm, across_cm } = line.nearest(x, y);
  return Math.abs(across_cm) > TAP_REACH_CM ? null : snapped(line, along_cm + offset);
}

export function snapped(line: CentreLine, alongCm: number): number {
  const most = Math.floor(line.lengthCm / STEP_CM) * STEP_CM;
  return Math.min(Math.max(Math.round(alongCm / STEP_CM) * STEP_CM, 0), most);
}

/** Where the keys lead from here: arrows by a step, the page keys by five; null for any other key. */
export function keyed(line: CentreLine, key: string, from: number, { from: first, to: last }: Stretch): number | null {
  const steps: Readonly<Record<string, number>> = {
    ArrowUp: 1,
    ArrowRight: 1,
    ArrowDown: -1,
    ArrowLeft: -1,
    PageUp: 5,
    PageDown: -5,
  };
  if (key === "Home") return snapped(line, first);
  if (key === "End") return snapped(line, last);
  const by = steps[key];
  return by === undefined ? null : snapped(line, from + by * STEP_CM);
}

/** Centres as near as possible to those wanted, in order, so that boxes of these heights do not overlap. */
export function spread(wanted: readonly number[], heights: readonly number[], top: number, bottom: number): number[] {
  let stacked = 0;
  const offsets = heights.map((height) => {
    stacked += height;
    return stacked - height / 2;
  });
  const blocks: { sum: number; count: number }[] = [];
  wanted.forEach((each, index) => {
    let block = { sum: each - (offsets[index] ?? 0), count: 1 };
    for (let last = blocks.at(-1); last && last.sum / last.count > block.sum / block.count; last = blocks.at(-1)) {
      blocks.pop();
      block = { sum: last.sum + block.sum, count: last.count + block.count };
    }
    blocks.push(block);
  });
  const starts = blocks.flatMap(({ sum, count }) => Array.from({ length: count }, () => sum / count));
  const highest = Math.max(bottom - stacked, top);
  return starts.map((start, index) => Math.min(Math.max(start, top), highest) + (offsets[index] ?? 0));
}

/** Words on as many lines as keep them short enough for the column. */
export function wrapped(words: string): string[] {
  const lines: string[] = [];
  for (const word of words.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + word.length < 13) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

export function daysInWords(days: number): string {
  return days === 0 ? "today" : days === 1 ? "1 day" : `${days} days`;
}

export interface Past extends PastPuncture {
  readonly along_cm: number;
}

/** The punctures that have a place on this vessel; how many have none is said in words. */
export function placedOn(line: CentreLine, punctures: readonly PastPuncture[]): readonly Past[] {
  return punctures.filter(
    (one): one is Past => one.along_cm !== null && one.along_cm >= 0 && one.along_cm <= line.lengthCm,
  );
}

/** The newest puncture of each needle and half centimetre, as far as its age is worth saying. */
export function newestOf(past: readonly Past[]): readonly Past[] {
  const newest = new Map<string, Past>();
  for (const one of [...past].sort((a, b) => a.days_ago - b.days_ago)) {
    const place = `${one.role} ${Math.round(one.along_cm / STEP_CM)}`;
    if (one.days_ago < AGES_SHOWN_DAYS && !newest.has(place)) newest.set(place, one);
  }
  return [...newest.values()];
}

const cm = (value: number): string => `${shown(value, 1)} cm`;

/** Where a needle stands, for who hears it. */
export function placeInWords(role: Role, alongCm: number | null): string {
  return alongCm === null ? "no place yet" : `${role} needle ${cm(alongCm)} from the anastomosis`;
}

/** The distances of the pair in sentences: along the vessel, between the two places where the skin is pierced. */
export function distances(value: Sites, past: readonly Past[], zones: readonly Zone[]): string[] {
  const said: string[] = [];
  const [a, v] = [value.arterial ?? null, value.venous ?? null];
  if (a !== null && v !== null) said.push(`A to V: ${cm(Math.abs(v - a))} along the vessel, site to site.`);
  for (const [role, at] of [["arterial", a] as const, ["venous", v] as const]) {
    if (at === null) continue;
    said.push(`${LETTER[role]}: ${[`${cm(at)} from the anastomosis`, ...toLast(role, at, past)].join("; ")}.`);
    for (const { action, why, from_cm, to_cm } of zones)
      if (from_cm <= at && at <= to_cm) said.push(`${LETTER[role]} lies in a stretch marked ${action}: ${why}.`);
  }
  return said;
}

function toLast(role: Role, at: number, past: readonly Past[]): string[] {
  const [last] = past.filter((one) => one.role === role).sort((a, b) => a.days_ago - b.days_ago);
  if (!last) return [];
  const age = last.days_ago === 0 ? "today" : `${daysInWords(last.days_ago)} ago`;
  return [`${cm(Math.abs(last.along_cm - at))} from the last ${LETTER[role]} (${cm(last.along_cm)}, ${age})`];
}
