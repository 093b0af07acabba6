import { expect, test } from "vitest";
import { fits } from "./search";

const row = {
  station: "7",
  patient: {
    id: "p",
    name: "Zoë Abara",
    birth_date: "1951-03-09",
    chart_number: "N-0042",
    arm_notes: "",
    isolation: "",
    needle_allergies: "",
  },
};

test("a name is found without its accents, in any order", () => {
  expect(fits(row, "abara zoe")).toBe(true);
  expect(fits(row, "zoe b")).toBe(true);
  expect(fits(row, "zoe x")).toBe(false);
});

test("a chart number and a station find their row, an empty search finds all", () => {
  expect([fits(row, "n-0042"), fits(row, "7"), fits(row, "")]).toEqual([true, true, true]);
});
