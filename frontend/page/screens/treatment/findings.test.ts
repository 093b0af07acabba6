import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { type Tables, tables } from "../../../data/lookups";
import type { AccessPack, Examination } from "../../../data/shapes";
import { newExamination } from "../../../data/treatment";
import type { Desk } from "./desk";
import { fieldsBefore, restOf, rowsMet } from "./findings";

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

test("the stop panel looks at both examiners, at every examination of the access, and at no other access", () => {
  const condition = (seen: Record<string, string[]>) => ({ seen, unless: {}, before: {} });
  // The conditions on fever are those that the server sends: arm swollen or bruise (own choice).
  const infected = [
    condition({ fever: ["fever or chills"], skin: ["bruise"] }),
    condition({ fever: ["fever or chills"], swelling: ["at the access", "arm"] }),
  ];
  const emergency = [{ id: "open-or-infected", when: infected, zone: null, urgency: "stat" }];
  const findings = { fever: ["none", "fever or chills"], swelling: ["none", "arm"], skin: ["sound", "bruise"] };
  tables.value = { ...words, findings, emergency } as unknown as Tables;
  const met = (...examinations: Examination[]): number => {
    const document = { value: { examinations, needles: [] } };
    return rowsMet({ document, typed: { value: {} } } as unknown as Desk, pack).length;
  };
  const fever = examined({ fever: "fever or chills", skin: "sound" });
  expect(met(fever)).toBe(0);
  expect(met({ ...fever, second_findings: { skin: "bruise" } })).toBe(1);
  expect(met({ ...fever, second_findings: { swelling: "arm" } })).toBe(1);
  expect(met({ ...examined({ swelling: "arm" }), id: "y" }, fever)).toBe(1);
  expect(met({ ...examined({ swelling: "arm" }), id: "y", access: "b" }, fever)).toBe(0);
});
