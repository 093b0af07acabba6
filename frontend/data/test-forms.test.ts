import { describe, expect, test } from "vitest";
import { flowFrom, formOf, newForm, recirculationFrom } from "./test-forms";

const ABOUT = { patient: "p", access: "a", treatment: null, measured_at: "2026-11-20T08:30:00Z" };
const drawn = {
  ...newForm(ABOUT, "mg/dL"),
  texts: { systemic: "60", arterial: "51", venous: "15", pump_ml_min: "300" },
  words: { unit: "mg/dL", systemic_site: "arterial line after slow flow", lines: "right" },
  moments: { arterial_venous_drawn_at: "2026-11-20T08:30:00Z", systemic_drawn_at: "2026-11-20T08:31:00Z" },
};

describe("the form of a recirculation test", () => {
  test("sends the three samples and how they were drawn", () => {
    expect(recirculationFrom(drawn)).toEqual({
      ...ABOUT,
      systemic: 60,
      arterial: 51,
      venous: 15,
      pump_ml_min: 300,
      slow_flow_ml_min: null,
      slow_flow_seconds: null,
      minutes_into_treatment: null,
      arterial_venous_drawn_at: "2026-11-20T08:30:00Z",
      systemic_drawn_at: "2026-11-20T08:31:00Z",
      unit: "mg/dL",
      systemic_site: "arterial line after slow flow",
      ultrafiltration_off: null,
      lines: "right",
    });
  });

  test("sends what was not typed as missing and never as zero", () => {
    const empty = recirculationFrom(newForm(ABOUT, "mmol/L"));
    expect([empty["systemic"], empty["arterial"], empty["venous"], empty["pump_ml_min"]]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    expect(empty["lines"]).toBe("not known");
  });

  test("comes back from the stored document unchanged", () => {
    const document = recirculationFrom(drawn);
    expect(recirculationFrom(formOf(document))).toEqual(document);
  });
});

test("a flow by duplex carries no urea unit and comes back from the stored document unchanged", () => {
  const form = {
    ...newForm(ABOUT, "mg/dL"),
    texts: { diameter_cm: "0,6", velocity_cm_s: "50" },
    words: { unit: "mg/dL", method: "duplex" },
  };
  const document = flowFrom(form);
  expect(document["inputs"]).toMatchObject({ diameter_cm: 0.6, velocity_cm_s: 50, unit: "", ml_min: null });
  expect(flowFrom(formOf(document))).toEqual(document);
});
