import { describe, expect, test } from "vitest";
import { type Bound, numberOf, remarkOn, shown } from "./lookups";

// The project's own bounds, as `access/measures/plausibility.py` has them (own choice, no source).
const VENOUS: Bound = {
  label: "venous pressure",
  hint: "",
  unit: "mmHg",
  refuse_below: -100,
  ask_below: 0,
  ask_above: 300,
  refuse_above: 600,
  decimals: 0,
};
const ARTERIAL: Bound = {
  label: "pre-pump arterial pressure",
  hint: "It is normally below zero: check its sign.",
  unit: "mmHg",
  refuse_below: -500,
  ask_below: -250,
  ask_above: 20,
  refuse_above: 100,
  decimals: 0,
};

describe("a typed number", () => {
  test("is read with a comma, a sign and a true minus", () => {
    expect([numberOf("8,5"), numberOf("-120"), numberOf("−120"), numberOf("+30"), numberOf("12.")]).toEqual([
      8.5, -120, -120, 30, 12,
    ]);
  });

  test("that is missing is missing and not zero", () => {
    expect(numberOf("  ")).toBeNull();
    expect(remarkOn("", VENOUS)).toBeNull();
  });

  test("that is no number is refused at the field", () => {
    expect(numberOf("12o")).toBeNaN();
    expect(remarkOn("1-2", VENOUS)?.weight).toBe("refuse");
  });
});

describe("the bounds", () => {
  test("refuse a pressure of 4000 and ask about one of 400", () => {
    expect(remarkOn("4000", VENOUS)).toEqual({ weight: "refuse", text: "Cannot be above 600 mmHg. Read it again." });
    expect(remarkOn("400", VENOUS)?.weight).toBe("ask");
    expect(remarkOn("140", VENOUS)).toBeNull();
  });

  test("take 'below' as more negative for an arterial pressure", () => {
    expect(remarkOn("-260", ARTERIAL)?.text).toContain("Unusually low, below −250 mmHg");
    expect(remarkOn("-180", ARTERIAL)).toBeNull();
    expect(remarkOn("21", ARTERIAL)?.weight).toBe("ask");
    expect(remarkOn("101", ARTERIAL)?.weight).toBe("refuse");
  });

  test("compare at the precision at which the number is shown", () => {
    expect(remarkOn("300.4", VENOUS)).toBeNull();
    expect(remarkOn("300.6", VENOUS)?.weight).toBe("ask");
  });
});

test("a number is printed with a true minus sign", () => {
  expect(shown(-180)).toBe("−180");
  expect(shown(null)).toBe("–");
});
