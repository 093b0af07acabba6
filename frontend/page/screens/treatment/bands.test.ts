import { describe, expect, test } from "vitest";
import type { AccessPack, Band, PressureReading } from "../../../data/shapes";
import { newReading, readingFrom } from "../../../data/treatment";
import { bandFor, sideOf, toAsk } from "./bands";

const band: Band = {
  quantity: "venous_mmhg",
  gauge: 15,
  pump_ml_min: 300,
  low: 110.4,
  high: 169.6,
  median: 140,
  count: 14,
  since: "2026-03-02",
  note: "",
  last: [],
};
const pack = { bands: [band] } as unknown as AccessPack;
const gauges = { venous_mmhg: 15, pre_pump_arterial_mmhg: 15 };
const read = (id: string, venous: string, pump = "300"): PressureReading =>
  readingFrom({ ...newReading(id), texts: { venous_mmhg: venous, pump_ml_min: pump } }, "2026-11-25T08:00:00Z", "");

describe("an access's own band", () => {
  test("holds for its gauge and pump speed only", () => {
    expect(bandFor(pack, "venous_mmhg", 15, 300)).toBe(band);
    expect(bandFor(pack, "venous_mmhg", 16, 300)).toBeNull();
    expect(bandFor(pack, "venous_mmhg", 15, 350)).toBeNull();
    expect(bandFor(pack, "pre_pump_arterial_mmhg", 15, 300)).toBeNull();
  });

  test("is compared at the precision at which it is shown", () => {
    expect([sideOf(170, band), sideOf(171, band), sideOf(110, band), sideOf(109, band)]).toEqual([
      null,
      "above",
      null,
      "below",
    ]);
  });

  test("says nothing of a missing value or with too few treatments", () => {
    expect(sideOf(null, band)).toBeNull();
    expect(sideOf(400, { ...band, low: null, high: null })).toBeNull();
  });
});

describe("a pressure out of its band", () => {
  test("asks once a treatment and direction", () => {
    const first = read("r1", "205");
    expect(toAsk(first, [], pack, gauges)).toHaveLength(1);
    expect(toAsk(read("r2", "210"), [first], pack, gauges)).toEqual([]);
    expect(toAsk(read("r3", "90"), [first], pack, gauges)[0]?.side).toBe("below");
  });

  test("within it asks nothing", () => {
    expect(toAsk(read("r1", "140"), [], pack, gauges)).toEqual([]);
  });
});
