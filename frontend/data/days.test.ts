import { expect, test } from "vitest";
import { dayOf, daysAfter, openFor, plainWords, withoutDay } from "./days";
import { setClinicTime } from "./time";

test("days are counted over the end of a month, of a leap February and over a change of the clocks", () => {
  expect(daysAfter("2026-11-24", 7)).toBe("2026-12-01");
  expect(daysAfter("2028-02-28", 1)).toBe("2028-02-29");
  expect(daysAfter("2026-03-28", 2)).toBe("2026-03-30");
});

test("a calendar day stays what it is in every zone, a moment is told in the clinic's own day", () => {
  setClinicTime("America/New_York", "24 h");
  expect(dayOf("2026-11-20")).toBe("20 Nov 2026");
  expect(dayOf("2026-11-20T02:00:00Z")).toBe("19 Nov 2026");
  setClinicTime("UTC", "24 h");
});

test("how long a flag is open is said in whole weeks", () => {
  expect([0, 1, 5].map(openFor)).toEqual(["new this week", "open for 1 week", "open for 5 weeks"]);
});

test("a day that leads a reading is left out, one within it stays", () => {
  expect(withoutDay("24 November 2026: static ratio 0.68")).toBe("static ratio 0.68");
  expect(withoutDay("flow 520 mL/min on 2 October 2026: low")).toBe("flow 520 mL/min on 2 October 2026: low");
});

test("marks of the handbook are no words", () => {
  expect(plainWords("`Qa` in *blood water*")).toBe("Qa in blood water");
});
