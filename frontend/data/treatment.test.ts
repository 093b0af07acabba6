import { describe, expect, test } from "vitest";
import { bodyOf } from "./bodies";
import type { Needle, PressureReading, TreatmentDocument } from "./shapes";
import { compose, newExamination, newReading, readingFrom, typedReading } from "./treatment";

const reading = (id: string, venous_mmhg: number): PressureReading =>
  readingFrom(
    { ...newReading(id), texts: { venous_mmhg: String(venous_mmhg) } },
    "2026-11-24T08:00:00Z",
    "hydrostatic",
  );

const base: TreatmentDocument = {
  patient: "p",
  clinic_day: "2026-11-24",
  frame: {
    state: "planned",
    started_at: null,
    ended_at: null,
    station: null,
    shift: "morning",
    route: "two needles",
    not_dialysed_why: "",
    pump_prescribed_ml_min: 300,
    pump_reached_ml_min: null,
    heparin: "",
    antithrombotics: "",
    notes: "as it stood",
  },
  examinations: [newExamination("x1", "a", "2026-11-24T07:00:00Z")],
  needles: [],
  pressures: [reading("r1", 140)],
  after: { bleeding: {}, used: "", left_how: "", note: "" },
};

describe("the document that is sent", () => {
  test("is the one it started from where nothing was typed", () => {
    expect(compose(base, {})).toEqual(base);
  });

  test("changes only the part that was typed", () => {
    const next = compose(base, { after: { bleeding: { n1: "8", n2: "" }, used: "clamp", left_how: "", note: "" } });
    expect(next).toEqual({ ...base, after: { bleeding: { n1: 8 }, used: "clamp", left_how: "", note: "" } });
  });

  test("keeps readings and adds to them by id, and replaces the one that was corrected", () => {
    const next = compose(base, { pressures: [reading("r2", 150), reading("r1", 135)] });
    expect(next.pressures.map(({ id, venous_mmhg }) => [id, venous_mmhg])).toEqual([
      ["r1", 135],
      ["r2", 150],
    ]);
  });

  test("adds a second access's examination beside the first", () => {
    const next = compose(base, { examination: newExamination("x2", "b", "2026-11-24T07:30:00Z") });
    expect(next.examinations.map(({ id }) => id)).toEqual(["x1", "x2"]);
  });

  test("carries the reason beside it and not in it", () => {
    const body = bodyOf("treatments", base, { needles: [{ id: "n1" } as Needle], reason: "wrong place" });
    expect(body["reason"]).toBe("wrong place");
    expect(body["document"]).not.toHaveProperty("reason");
  });
});

describe("a reading", () => {
  test("leaves out nothing and fills in nothing", () => {
    const made = reading("r9", 140);
    expect(made.pre_pump_arterial_mmhg).toBeNull();
    expect(made.height_formula).toBe("");
    expect(made.measured_at).toBe("2026-11-24T08:00:00Z");
  });

  test("names its height formula only with the pump off", () => {
    const typed = { ...newReading("r9"), texts: { venous_static_mmhg: "30", venous_height_cm: "30" } };
    expect(readingFrom(typed, "2026-11-24T08:00:00Z", "hydrostatic").height_formula).toBe("hydrostatic");
  });

  test("that is corrected keeps its id and its time", () => {
    const again = readingFrom(typedReading(reading("r1", 140)), "2026-11-24T09:00:00Z", "hydrostatic");
    expect(again).toEqual(reading("r1", 140));
  });
});
