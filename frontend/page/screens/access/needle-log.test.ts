import { expect, test } from "vitest";
import { byDay } from "./needle-log";

test("both needles of a day stand together, each with its letter, and only what went otherwise is said", () => {
  const rows = [
    { at: "2026-11-20", text: "venous, 12 cm, in use to the end, bled 8 min" },
    { at: "2026-11-20", text: "arterial, 6 cm, 15G" },
    { at: "2026-11-18", text: "arterial, 7 cm, failed" },
  ];
  expect(byDay(rows)).toEqual([
    {
      at: "2026-11-20",
      punctures: [
        { letter: "V", text: "12 cm, bled 8 min" },
        { letter: "A", text: "6 cm, 15G" },
      ],
    },
    { at: "2026-11-18", punctures: [{ letter: "A", text: "7 cm, failed" }] },
  ]);
});

test("a line without a known role is shown as it is", () => {
  expect(byDay([{ at: "2026-11-20", text: "venously odd" }])).toEqual([
    { at: "2026-11-20", punctures: [{ letter: "", text: "venously odd" }] },
  ]);
});
