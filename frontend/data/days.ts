// Calendar days as lists and forms use them: counted without any clock, so that no zone can move them.
import { calendarDay, day } from "./time";

const DAY_MS = 86_400_000;

/** The day so many days after a day given as YYYY-MM-DD. */
export function daysAfter(isoDay: string, count: number): string {
  return new Date(Date.parse(`${isoDay}T00:00:00Z`) + count * DAY_MS).toISOString().slice(0, 10);
}

/** A day in words, whether it is given as a calendar day or as a moment. */
export function dayOf(at: string): string {
  return at.length <= 10 ? calendarDay(at) : day(at);
}

/** How long something has been open, in words. */
export function openFor(weeks: number): string {
  if (weeks < 1) return "new this week";
  return weeks === 1 ? "open for 1 week" : `open for ${weeks} weeks`;
}

const LEADING_DAY = /^\d{1,2} [A-Z][a-z]+ \d{4}: /;

/** A reading in words without the day before it, where the day stands beside it. */
export function withoutDay(text: string): string {
  return text.replace(LEADING_DAY, "");
}

/** A sentence of the handbook without its marks for code and stress. */
export function plainWords(text: string): string {
  return text.replace(/[`*]/g, "");
}
