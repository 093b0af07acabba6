// Times as the clinic reads them: in its own zone, by its own clock style, with the offset when an hour repeats.
// Formats are made once and shared, since making one costs more than using it a thousand times.
import { signal } from "@preact/signals-core";

export type ClockStyle = "24 h" | "12 h";

interface Formats {
  readonly clock: Intl.DateTimeFormat;
  readonly offset: Intl.DateTimeFormat;
  readonly day: Intl.DateTimeFormat;
  readonly isoDay: Intl.DateTimeFormat;
  readonly plain: Intl.DateTimeFormat;
}

function formatsFor(zone: string, style: ClockStyle): Formats {
  const hours: Intl.DateTimeFormatOptions =
    style === "12 h" ? { hour: "numeric", hourCycle: "h12" } : { hour: "2-digit", hourCycle: "h23" };
  const clock: Intl.DateTimeFormatOptions = { timeZone: zone, ...hours, minute: "2-digit" };
  return {
    clock: new Intl.DateTimeFormat("en-GB", clock),
    offset: new Intl.DateTimeFormat("en-GB", { ...clock, timeZoneName: "shortOffset" }),
    day: new Intl.DateTimeFormat("en-GB", { timeZone: zone, day: "numeric", month: "short", year: "numeric" }),
    isoDay: new Intl.DateTimeFormat("en-CA", { timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit" }),
    plain: new Intl.DateTimeFormat("en-GB", { timeZone: zone, hour: "2-digit", minute: "2-digit", hourCycle: "h23" }),
  };
}

const formats = signal(formatsFor("UTC", "24 h"));
// A birth date is a day and no moment, so no zone may move it.
const plainDay = new Intl.DateTimeFormat("en-GB", { timeZone: "UTC", day: "numeric", month: "short", year: "numeric" });
const HOUR_MS = 3_600_000;

export function setClinicTime(zone: string, style: ClockStyle): void {
  formats.value = formatsFor(zone, style);
}

const asDate = (at: Date | string): Date => (typeof at === "string" ? new Date(at) : at);

/** The hour and minute, with the offset where the clocks are put back and the same hour comes twice. */
export function clock(at: Date | string): string {
  const { clock: format, offset } = formats.value;
  const date = asDate(at);
  const text = format.format(date);
  const twice = [-HOUR_MS, HOUR_MS].some((by) => format.format(new Date(date.getTime() + by)) === text);
  return twice ? offset.format(date) : text;
}

export function day(at: Date | string): string {
  return formats.value.day.format(asDate(at));
}

export function dayAndClock(at: Date | string): string {
  return `${day(at)}, ${clock(at)}`;
}

/** A calendar day such as a birth date, given as YYYY-MM-DD. */
export function calendarDay(isoDate: string): string {
  return plainDay.format(new Date(`${isoDate.slice(0, 10)}T00:00:00Z`));
}

/** The clinic's own calendar day of a moment, as YYYY-MM-DD. */
export function clinicDay(at: Date | string): string {
  return formats.value.isoDay.format(asDate(at));
}

/** Hour and minute as a time field takes them, HH:MM, on the clinic's clock. */
export function plainClock(at: Date | string): string {
  return formats.value.plain.format(asDate(at));
}

/** The moment at which the clinic's clock shows this day and time; of an hour that comes twice, the first. */
export function atClinicClock(isoDay: string, hourMinute: string): Date {
  const wanted = Date.parse(`${isoDay}T${hourMinute}:00Z`);
  let at = wanted;
  // The offset at the guess may differ from the one at the answer, once at most.
  for (let step = 0; step < 2; step += 1)
    at += wanted - Date.parse(`${clinicDay(new Date(at))}T${plainClock(new Date(at))}:00Z`);
  const earlier = new Date(at - HOUR_MS);
  return plainClock(earlier) === hourMinute ? earlier : new Date(at);
}

/** Whole minutes from one moment to another. */
export function minutesBetween(from: Date | string, to: Date | string): number {
  return Math.round((asDate(to).getTime() - asDate(from).getTime()) / 60_000);
}
