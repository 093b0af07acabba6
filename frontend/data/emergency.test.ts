import { describe, expect, test } from "vitest";
import { type EmergencyRow, emergencies, missingToNeedle } from "./emergency";

const NONE = { seen: {}, unless: {}, before: {} };
const row = (id: string, changed: Partial<EmergencyRow>): EmergencyRow => ({
  id,
  title: id,
  when: [],
  zone: null,
  urgency: "asap",
  time_in_words: "today",
  stop: true,
  keep_off: "",
  first: [],
  second_examiner: false,
  needs_who_was_told: true,
  needs_reason_to_needle: true,
  needs_physician_to_needle: false,
  source: "common-practice",
  ...changed,
});

// Rows of the project's own emergency table (standing: common practice), as the server sends them.
const TABLE = [
  row("hand", { when: [{ ...NONE, seen: { hand: ["worse"] } }] }),
  row("no-thrill-no-bruit", {
    when: [{ ...NONE, seen: { thrill: ["missing"], bruit: ["missing"] } }],
    urgency: "stat",
    needs_physician_to_needle: true,
  }),
  row("thrill-or-bruit-missing", {
    when: [{ ...NONE, seen: { thrill: ["missing"] }, unless: { bruit: ["missing"] } }],
    stop: false,
  }),
  row("open-skin", { when: [{ ...NONE, seen: { skin: ["ulcer, open wound or dead skin"] } }], urgency: "stat" }),
  row("new-bulge-thin-skin", {
    when: [{ seen: { bulge: ["new"], skin: ["thin"] }, unless: {}, before: { bulge: ["none"] } }],
  }),
  row("old-scab", { zone: { why: "scab", days: 7 } }),
];
const ids = (seen: Parameters<typeof emergencies>[1]): string[] => emergencies(TABLE, seen).map(({ id }) => id);

describe("the emergency table on the page", () => {
  test("is met by neither thrill nor bruit, and by one of them only another row", () => {
    expect(ids({ looks: [{ thrill: "missing", bruit: "missing" }] })).toEqual(["no-thrill-no-bruit"]);
    expect(ids({ looks: [{ thrill: "missing", bruit: "weak" }] })).toEqual(["thrill-or-bruit-missing"]);
  });

  test("is not met by a field that was not examined", () => {
    expect(ids({ looks: [{ thrill: "missing" }] })).toEqual(["thrill-or-bruit-missing"]);
    expect(ids({ looks: [{}] })).toEqual([]);
  });

  test("puts the most urgent row first", () => {
    expect(ids({ looks: [{ hand: "worse", thrill: "missing", bruit: "missing" }] })[0]).toBe("no-thrill-no-bruit");
  });

  test("counts the skin at a needle site as the skin over the access", () => {
    expect(ids({ looks: [{ skin: "sound" }], skins: ["", "ulcer, open wound or dead skin"] })).toEqual(["open-skin"]);
  });

  test("counts what either examiner found, filled up with what the other found", () => {
    const words = { thrill: ["continuous", "weak", "missing"], bruit: ["low, two phases", "missing"] };
    const gone = { thrill: "missing", bruit: "missing" };
    const well = { thrill: "continuous", bruit: "low, two phases" };
    expect(ids({ looks: [well, gone], words })).toEqual(["no-thrill-no-bruit"]);
    expect(ids({ looks: [gone, well], words })).toEqual(["no-thrill-no-bruit"]);
    expect(ids({ looks: [{ thrill: "missing" }, { bruit: "missing" }], words })).toEqual(["no-thrill-no-bruit"]);
    expect(ids({ looks: [{ thrill: "missing" }, { thrill: "weak" }, { bruit: "missing" }], words })).toContain(
      "no-thrill-no-bruit",
    );
  });

  test("does not make one emergency out of two halves that each examiner found otherwise", () => {
    const words = { thrill: ["continuous", "missing"], bruit: ["weak", "missing"] };
    const looks = [{ thrill: "missing", bruit: "weak" }, { thrill: "continuous", bruit: "missing" }, {}];
    expect(ids({ looks, words })).toEqual(["thrill-or-bruit-missing"]);
  });

  test("looks at the occasion before where the row asks for it", () => {
    const looks = [{ bulge: "new", skin: "thin" }];
    expect(ids({ looks, before: { bulge: "known, unchanged" } })).toEqual([]);
    expect(ids({ looks, before: { bulge: "none" } })).toEqual(["new-bulge-thin-skin"]);
  });

  test("finds a scab that is older than seven days", () => {
    const zones = [{ id: "z", from_cm: 6, to_cm: 7, why: "scab", action: "take care", since: "2026-03-01" }];
    expect(ids({ looks: [{}], zones, now: new Date("2026-03-08T12:00:00Z") })).toEqual([]);
    expect(ids({ looks: [{}], zones, now: new Date("2026-03-09T12:00:00Z") })).toEqual(["old-scab"]);
  });
});

test("needling after a stat row waits for the physician, after another for a reason", () => {
  const blank = { needling_reason: "", needling_physician: "" };
  const stat = emergencies(TABLE, { looks: [{ thrill: "missing", bruit: "missing" }] });
  const hand = emergencies(TABLE, { looks: [{ hand: "worse" }] });
  expect(missingToNeedle(stat, { needling_reason: "told so", needling_physician: "" })).toContain("physician");
  expect(missingToNeedle(stat, { needling_reason: "told so", needling_physician: "Dr. Holm" })).toBe("");
  expect(missingToNeedle(hand, blank)).toContain("reason");
  expect(missingToNeedle([], blank)).toBe("");
});
