import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { type Tables, tables } from "../../../data/lookups";
import type { AccessPack, Examination } from "../../../data/shapes";
import { newExamination } from "../../../data/treatment";
import { fieldsBefore, restOf } from "./findings";

const words = {
  findings: {
    thrill: ["continuous", "missing"],
    bruit: ["low, two phases", "missing"],
    pulse: ["soft", "pulsatile"],
    hand: ["as before", "worse"],
    needling: ["as usual", "newly difficult"],
  },
  never_filled_together: ["bruit", "thrill"],
  seen_during_treatment: ["circuit", "needling"],
} as unknown as Tables;
const pack = { id: "a", last_signs: {}, last_signs_on: null } as unknown as AccessPack;
const examined = (findings: Examination["findings"]): Examination => ({
  ...newExamination("x", "a", "2026-11-25T07:00:00Z"),
  findings,
});

beforeEach(() => {
  tables.value = words;
});
afterEach(() => {
  tables.value = null;
});

describe("the rest found normal", () => {
  test("never covers thrill and bruit", () => {
    expect(restOf(words, pack, undefined)).toEqual(["pulse", "hand"]);
  });

  test("never covers what can only be seen during the treatment", () => {
    expect(fieldsBefore(words)).not.toContain("needling");
    expect(restOf(words, pack, undefined)).not.toContain("needling");
  });

  test("never covers a sign seen last time, which is asked again", () => {
    expect(restOf(words, { ...pack, last_signs: { pulse: "pulsatile" } }, undefined)).toEqual(["hand"]);
  });

  test("leaves an answer as it is, also an odd one", () => {
    expect(restOf(words, pack, examined({ hand: "worse" }))).toEqual(["pulse"]);
  });
});

test("an examination starts with nothing found", () => {
  expect(newExamination("x", "a", "2026-11-25T07:00:00Z").findings).toEqual({});
});
