import { expect, test } from "vitest";
import { documentOf, obstacles } from "./record";

const WHOSE = { patient: "p", access: "a", now: "2026-11-24T09:00:00Z" };
const TODAY = "2026-11-24";

test("an event says what and on which day before it is sent, and nothing else is asked for", () => {
  expect(obstacles("events", {}, TODAY).map(({ field }) => field)).toEqual(["what", "on"]);
  expect(obstacles("events", { what: "angioplasty", on: TODAY }, TODAY)).toEqual([]);
});

test("a day in the future is refused for what has happened, not for the end of a hold", () => {
  expect(obstacles("events", { what: "stent", on: "2026-11-25" }, TODAY)).toEqual([
    { field: "on", text: "This day lies in the future." },
  ]);
  expect(obstacles("holds", { why: "swollen", since: TODAY, until: "2026-12-01" }, TODAY)).toEqual([]);
});

test("a number that is none is named, so that it never becomes a missing one", () => {
  const typed = { what: "stent", on: TODAY, where_cm: "twelve" };
  expect(obstacles("events", typed, TODAY)).toEqual([{ field: "where_cm", text: "This is not a number." }]);
});

test("what is not given is missing in the document, never zero", () => {
  const document = documentOf("events", { what: "angioplasty", on: TODAY, where_cm: " 12,5 " }, WHOSE);
  expect(document).toEqual({
    patient: "p",
    treatment: null,
    measured_at: WHOSE.now,
    access: "a",
    what: "angioplasty",
    on: TODAY,
    where_words: "",
    where_cm: 12.5,
    degree_percent: null,
    outcome: "",
  });
});

test("a stretch and a hold carry only their own fields", () => {
  const zone = documentOf("zones", { action: "keep off", why: "bulge", from_cm: "6", to_cm: "8", since: TODAY }, WHOSE);
  expect(zone).toEqual({
    access: "a",
    action: "keep off",
    why: "bulge",
    from_cm: 6,
    to_cm: 8,
    since: TODAY,
    until: null,
    note: "",
  });
  expect(Object.keys(documentOf("holds", {}, WHOSE))).toEqual(["access", "why", "since", "until"]);
});
