/// <reference types="vite/types/importMeta.d.ts" />
// Held to the same points as the Python sampler: made by SciPy's integration of the speed (tests/drawing/exact.py).
import { describe, expect, test } from "vitest";
import { centreLine, type Geometry, mirrorAt, type Side } from "./centre-line";

interface Expected {
  readonly configuration: string;
  readonly side: Side;
  readonly length_cm: number;
  readonly along_cm: number;
  readonly across_cm: number;
  readonly x: number;
  readonly y: number;
}

const files = import.meta.glob<Geometry>("../../access/drawing/geometry/*.json", { eager: true, import: "default" });
const fixture = import.meta.glob<readonly Expected[]>("../../fixtures/arithmetic/centre-lines.json", {
  eager: true,
  import: "points",
});
const points = Object.values(fixture).flat();

function geometry(configuration: string): Geometry {
  const found = Object.values(files).find((each) => each.configuration === configuration);
  if (!found) throw new Error(`${configuration} is not drawn`);
  return found;
}

test("the shared points are there", () => {
  expect(points.length).toBeGreaterThan(100);
});

describe.each(points)("$configuration $side at $along_cm cm, $across_cm cm across", (row) => {
  const line = centreLine(geometry(row.configuration), row.side, row.length_cm);

  test("lies where the integral of the speed puts it", () => {
    const { x, y } = line.pointAt(row.along_cm, row.across_cm);
    expect(Math.hypot(x - row.x, y - row.y)).toBeLessThan(0.01);
  });

  test("is found again by a tap", () => {
    const place = line.nearest(row.x, row.y);
    expect(Math.abs(place.along_cm - row.along_cm)).toBeLessThan(0.001);
    expect(Math.abs(place.across_cm - row.across_cm)).toBeLessThan(0.001);
  });
});

test("a right arm is the mirror image and keeps the centimetres", () => {
  const drawn = geometry("radiocephalic");
  const [left, right] = [centreLine(drawn, "left", 22), centreLine(drawn, "right", 22)];
  const [here, there] = [left.pointAt(7.5, 0.2), right.pointAt(7.5, 0.2)];
  expect(there.x).toBeCloseTo(mirrorAt(drawn) - here.x, 9);
  expect(there.y).toBeCloseTo(here.y, 9);
});

test("the outer side of a loop is the outer side on both its limbs and on both arms", () => {
  for (const [side, inward] of [
    ["left", 1],
    ["right", -1],
  ] as const) {
    const line = centreLine(geometry("forearm loop graft"), side, 40);
    expect(line.outwardAt(8).x * inward).toBeLessThan(0);
    expect(line.outwardAt(32).x * inward).toBeGreaterThan(0);
  }
});

test("without a known length the drawing's own is used", () => {
  const drawn = geometry("radiocephalic");
  expect(centreLine(drawn, "left", null).lengthCm).toBe(drawn.usual_length_cm);
});

test("a place beyond the vessel and a vessel without length are refused", () => {
  const line = centreLine(geometry("radiocephalic"), "left", 20);
  expect(() => line.pointAt(20.1)).toThrow(RangeError);
  expect(() => line.pointAt(-0.1)).toThrow(RangeError);
  expect(() => centreLine(geometry("radiocephalic"), "left", 0)).toThrow(RangeError);
});
