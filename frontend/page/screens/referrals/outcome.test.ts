import { expect, test } from "vitest";
import { bodyOf, NO_PROCEDURE, NOTHING_TYPED, obstacles, procedures } from "./outcome";

const TODAY = "2026-11-24";
const DONE = { ...NOTHING_TYPED, what: "angioplasty", on: "2026-11-23", outcome: "10 % left", flags: "close them" };

test("a result says what, when, what came of it, and whether it closes the flags", () => {
  expect(obstacles(NOTHING_TYPED, TODAY).map(({ field }) => field)).toEqual(["what", "on", "outcome", "close_flags"]);
  expect(obstacles(DONE, TODAY)).toEqual([]);
  expect(obstacles({ ...DONE, on: "2026-11-25" }, TODAY).map(({ field }) => field)).toEqual(["on"]);
});

test("a place or a degree that was not given is missing, never zero", () => {
  expect(bodyOf(DONE)).toMatchObject({ where_cm: null, degree_percent: null, where_words: "", close_flags: true });
  expect(bodyOf({ ...DONE, degree_percent: "70", where_cm: "14,5" })).toMatchObject({
    where_cm: 14.5,
    degree_percent: 70,
  });
});

test("where nothing was done there is no place, whatever was typed before", () => {
  const none = { ...DONE, what: NO_PROCEDURE, where_cm: "14", degree_percent: "seventy", flags: "keep them open" };
  expect(obstacles(none, TODAY)).toEqual([]);
  expect(bodyOf(none)).toMatchObject({ what: "", where_cm: null, degree_percent: null, close_flags: false });
});

test("what merely happens to an access is no answer to a referral", () => {
  expect(procedures(["created", "angioplasty", "clotted", "stent"])).toEqual(["angioplasty", "stent", "no procedure"]);
});
