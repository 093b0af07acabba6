import { expect, test } from "vitest";
import type { ReviewRow } from "../../../data/review-shapes";
import { howLong, lastLine } from "./said";

const flag = (since: string) => ({ since }) as ReviewRow["flags"][number];
const WEEK = "2026-11-23";

test("a new emergency over an old finding is not said to be as old as that", () => {
  const flags = [flag("2026-11-24T08:00:00Z"), flag("2026-04-16T08:00:00Z")];
  expect(howLong({ flags, weeks_open: 31 })).toBe("since 24 Nov 2026; 2 findings, the oldest open for 31 weeks");
  expect(howLong({ flags: flags.slice(1), weeks_open: 31 })).toBe("open for 31 weeks");
});

test("the last line says what was decided, when, and where the referral stands", () => {
  const decided = { week: WEEK, outcome: "refer", check_again_on: null };
  const row = { flags: [], weeks_open: 0, last_decision: decided, referral: { id: "r", state: "draft" } };
  const said = (changed: object) => lastLine({ ...row, ...changed } as unknown as ReviewRow, WEEK);
  expect(said({})).toBe("new this week · ✓ this week: refer · referral draft");
  expect(said({ last_decision: { ...decided, week: "2026-11-16" }, referral: null })).toBe(
    "new this week · 16 Nov 2026: refer",
  );
  expect(said({ last_decision: null, referral: null })).toBe("new this week · not decided before");
});
