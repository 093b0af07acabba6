import { expect, test } from "vitest";
import type { Decision, ReviewRow } from "../../../data/review-shapes";
import { bodyOf, decidedIn, EMPTY, nextOpen, obstacle, usualDays, withDecision } from "./decided";

const WEEK = "2026-11-23";
const TODAY = "2026-11-24";

function decision(access: string, week: string): Decision {
  const who = { reviewer: "Dov", at: `${week}T10:00:00Z` };
  return {
    id: `d-${access}`,
    week,
    ...who,
    outcome: "no change",
    note: "",
    check_again_on: null,
  };
}

function row(id: string, last: Decision | null = null): ReviewRow {
  const access = { id, title: "left graft", kind: "graft", configuration: "", side: "left", status: "in use" };
  return { access, last_decision: last, check_again_on: null } as unknown as ReviewRow;
}

test("nothing is sent without an outcome, nor to check again without a day after today", () => {
  expect(obstacle(EMPTY, TODAY)?.field).toBe("outcome");
  expect(obstacle({ ...EMPTY, outcome: "check again" }, TODAY)?.field).toBe("check_again_on");
  expect(obstacle({ ...EMPTY, outcome: "check again", check_again_on: TODAY }, TODAY)?.field).toBe("check_again_on");
  expect(obstacle({ ...EMPTY, outcome: "check again", check_again_on: "2026-11-25" }, TODAY)).toBeNull();
  expect(obstacle({ ...EMPTY, outcome: "refer" }, TODAY)).toBeNull();
});

test("a day typed for another outcome is not sent", () => {
  const typed = { ...EMPTY, outcome: "no change", note: " heard well ", check_again_on: "2026-12-01" } as const;
  expect(bodyOf(typed, row("a", decision("a", WEEK)))).toEqual({
    access: "a",
    outcome: "no change",
    note: "heard well",
    check_again_on: null,
    after: "d-a",
  });
});

test("only a decision of this week counts as this week's", () => {
  expect(decidedIn(WEEK, row("a", decision("a", "2026-11-16")))).toBeNull();
  expect(decidedIn(WEEK, row("a", decision("a", WEEK)))?.id).toBe("d-a");
});

test("after a decision the next row is one that is still open, round to the start", () => {
  const rows = [row("a"), row("b", decision("b", WEEK)), row("c", decision("c", WEEK))];
  expect(nextOpen(rows, 1, WEEK)).toBe(0);
  expect(nextOpen(withDecision(rows, "a", decision("a", WEEK)), 0, WEEK)).toBeNull();
  expect(nextOpen([], 0, WEEK)).toBeNull();
});

test("the days that are offered are whole weeks from today", () => {
  expect(usualDays(TODAY)).toEqual([
    ["in 1 week", "2026-12-01"],
    ["in 2 weeks", "2026-12-08"],
    ["in 4 weeks", "2026-12-22"],
  ]);
});
