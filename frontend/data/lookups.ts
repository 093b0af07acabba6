// The tables that the server worked out and the page only looks things up in: bounds of what is typed, words of the
// examination, the emergency rows, spacing and gauge advice. It compares numbers and decides nothing clinical.
import { signal } from "@preact/signals-core";
import { get } from "./api";
import type { EmergencyRow } from "./emergency";

export interface Bound {
  readonly label: string;
  readonly hint: string;
  readonly unit: string;
  readonly refuse_below: number | null;
  readonly ask_below: number | null;
  readonly ask_above: number | null;
  readonly refuse_above: number | null;
  readonly decimals: number;
}

export interface Tables {
  readonly bounds: Readonly<Record<string, Bound>>;
  readonly findings: Readonly<Record<string, readonly string[]>>;
  readonly never_filled_together: readonly string[];
  readonly seen_during_treatment: readonly string[];
  readonly emergency: readonly EmergencyRow[];
  readonly gauge_by_speed: readonly Readonly<Record<string, number | null>>[];
  readonly spacing: Readonly<Record<string, number>>;
  readonly urgency_in_words: Readonly<Record<string, string>>;
  readonly not_judged: Readonly<Record<string, string>>;
  readonly protocol: {
    readonly id: string;
    readonly name: string;
    readonly version: string;
    readonly unconfirmed: number;
  };
  readonly words: Readonly<Record<string, readonly string[]>>;
}

export const tables = signal<Tables | null>(null);
/** Whether the last try to fetch them failed; the ones fetched before stay. */
export const tablesMissing = signal(false);

export async function fetchTables(): Promise<void> {
  tablesMissing.value = false;
  try {
    tables.value = await get<Tables>("tables");
  } catch {
    tablesMissing.value = tables.value === null;
  }
}

export interface Remark {
  readonly weight: "refuse" | "ask";
  readonly text: string;
}

/** What a typed number reads as: `null` where nothing is typed, `NaN` where it is no number. */
export function numberOf(text: string): number | null {
  const plain = text.trim().replace(",", ".").replace("−", "-");
  if (plain === "") return null;
  return /^[-+]?\d*\.?\d+$|^[-+]?\d+\.$/.test(plain) ? Number(plain) : Number.NaN;
}

const below = (value: number, limit: number | null): boolean => limit !== null && value < limit;
const above = (value: number, limit: number | null): boolean => limit !== null && value > limit;

/** What the bounds say about a typed number: refused, asked about, or nothing to say. */
export function remarkOn(text: string, bound: Bound | undefined): Remark | null {
  const value = numberOf(text);
  if (value === null) return null;
  if (Number.isNaN(value)) return { weight: "refuse", text: "Not a number. Type digits only." };
  if (!bound) return null;
  const rounded = Number(value.toFixed(bound.decimals));
  const { refuse_below: least, refuse_above: most, ask_below: low, ask_above: high } = bound;
  const limit = (value: number | null): string => `${shown(value)} ${bound.unit}`.trim();
  const said = (weight: Remark["weight"], words: string): Remark => ({ weight, text: `${words} ${bound.hint}`.trim() });
  if (below(rounded, least)) return said("refuse", `Cannot be below ${limit(least)}. Read it again.`);
  if (above(rounded, most)) return said("refuse", `Cannot be above ${limit(most)}. Read it again.`);
  if (below(rounded, low)) return said("ask", `Unusually low, below ${limit(low)}. Is it right?`);
  if (above(rounded, high)) return said("ask", `Unusually high, above ${limit(high)}. Is it right?`);
  return null;
}

/** A number as it is printed: a true minus sign, never an exponent. */
export function shown(value: number | null, decimals?: number): string {
  if (value === null) return "–";
  const text = decimals === undefined ? String(value) : value.toFixed(decimals);
  return text.replace("-", "−");
}
