import { describe, expect, test } from "vitest";
import { centreLine } from "../../data/centre-line";
import type { PastPuncture } from "../../data/shapes";
import { drawnFor, keepDrawing, kinds, type Limb, whose } from "./geometries";
import {
  distances,
  frameFor,
  keyed,
  lengthOf,
  newestOf,
  placedOn,
  snapped,
  spread,
  stretchOf,
  tapped,
  wrapped,
} from "./map-frame";

// The tests read the files that the page fetches.
type File = Parameters<typeof keepDrawing>[0];
const drawings = import.meta.glob<File>("../../../access/drawing/geometry/*.json", { eager: true, import: "default" });
const limbs = import.meta.glob<Limb>("../../../access/drawing/geometry/limbs/*.json", {
  eager: true,
  import: "default",
});
for (const file of Object.values(drawings)) {
  const limb = Object.entries(limbs).find(([path]) => path.endsWith(`/${file.limb}.json`));
  keepDrawing(file, limb?.[1] ?? null);
}

const fistula = drawnFor("radiocephalic").geometry;
const line = centreLine(fistula, "left", 22);
const loop = centreLine(drawnFor("forearm loop graft").geometry, "left", 38);

function past(role: "arterial" | "venous", along_cm: number | null, days_ago: number): PastPuncture {
  return { role, along_cm, days_ago, on: "2026-03-02", outcome: "in use to the end", technique: "rope-ladder" };
}

describe("the drawings", () => {
  test("nine kinds are drawn, and an unknown kind is drawn as a plain line", () => {
    expect(kinds()).toHaveLength(9);
    expect(drawnFor("something new").geometry.configuration).toBe("other");
  });

  test("whose limb it is says the side in capitals", () => {
    expect(whose(fistula, "left")).toBe("patient's LEFT arm");
    expect(whose(drawnFor("thigh loop graft").geometry, "right")).toBe("patient's RIGHT leg");
  });

  test("a loop that is drawn straight does not claim where hand and shoulder are", () => {
    expect(drawnFor("radiocephalic").landmarks).toContain("hand");
    expect(drawnFor("upper-arm loop graft").landmarks).not.toContain("hand");
  });
});

describe("a tap", () => {
  test("places the needle on the nearest half centimetre", () => {
    const { x, y } = line.pointAt(8.4, 0.3);
    expect(tapped(line, { x, y })).toBe(8.5);
  });

  test("on a needle does not move it, wherever the finger took hold of it", () => {
    const hold = line.pointAt(8.8);
    const offset = 8 - line.nearest(hold.x, hold.y).along_cm;
    expect(tapped(line, hold, offset)).toBe(8);
    expect(tapped(line, line.pointAt(9.8), offset)).toBe(9);
  });

  test("beside the limb means no place", () => {
    const { x, y } = line.pointAt(8.4);
    expect(tapped(line, { x: x + 5 * line.unitsPerCm, y })).toBeNull();
  });

  test("beyond the end means the last half centimetre of the vessel", () => {
    expect(snapped(centreLine(fistula, "left", 21.8), 25)).toBe(21.5);
    expect(snapped(line, -3)).toBe(0);
  });

  test("between the limbs of a loop means the nearer one", () => {
    const [arterial, venous] = [loop.pointAt(8), loop.pointAt(30)];
    expect(tapped(loop, { x: arterial.x + 6, y: arterial.y })).toBeCloseTo(8, 0);
    expect(tapped(loop, { x: venous.x - 6, y: venous.y })).toBeCloseTo(30, 0);
  });
});

test("keys move by a step or five, and to either end of the needled stretch", () => {
  const stretch = { from: 4, to: 20 };
  const to = (key: string): number | null => keyed(line, key, 8, stretch);
  expect(["ArrowUp", "ArrowLeft", "PageUp", "Home", "End", "Tab"].map(to)).toEqual([8.5, 7.5, 10.5, 4, 20, null]);
  expect(keyed(line, "ArrowDown", 0, stretch)).toBe(0);
});

describe("the shown part", () => {
  test("is the needled stretch, as wide as a phone lets half a centimetre be told apart", () => {
    const frame = frameFor(line, { from: 4, to: 20 });
    for (const at of [4, 12, 20]) {
      const { x, y } = line.pointAt(at);
      expect(x).toBeGreaterThan(frame.left);
      expect(x).toBeLessThan(frame.left + frame.width);
      expect(y).toBeGreaterThan(frame.top);
      expect(y).toBeLessThan(frame.top + frame.height);
    }
    expect(line.unitsPerCm / frame.unit).toBeGreaterThan(30);
  });

  test("has room for labels at the thumb's side of a line and at both sides of a loop", () => {
    const room = (of: typeof line, from: number, to: number): [number, number] => {
      const { left, width } = frameFor(of, { from, to });
      const xs = Array.from({ length: 41 }, (_, step) => of.pointAt(from + ((to - from) * step) / 40).x);
      return [Math.min(...xs) - left, left + width - Math.max(...xs)].map(Math.round) as [number, number];
    };
    expect(room(line, 4, 20)).toEqual([72, 92]);
    expect(room(centreLine(fistula, "right", 22), 4, 20)).toEqual([92, 72]);
    expect(room(loop, 4, 34)).toEqual([92, 92]);
  });

  test("of a vessel of unknown length reaches as far as it is needled", () => {
    expect(lengthOf(23, null, 27)).toBe(27);
    expect(lengthOf(23, null, null)).toBe(23);
    expect(lengthOf(23, 18, 27)).toBe(18);
    expect(stretchOf(line, null, 40)).toEqual({ from: 0, to: 22 });
  });
});

test("labels keep their order, never overlap and stay within the picture", () => {
  const heights = [14, 30, 14, 14, 14];
  const centres = spread([20, 22, 23, 24, 200], heights, 0, 210);
  for (let at = 1; at < centres.length; at += 1) {
    const gap = (centres[at] ?? 0) - (centres[at - 1] ?? 0);
    expect(gap).toBeGreaterThanOrEqual(((heights[at] ?? 0) + (heights[at - 1] ?? 0)) / 2 - 1e-9);
  }
  expect(Math.min(...centres)).toBeGreaterThanOrEqual(7);
  expect(Math.max(...centres)).toBeLessThanOrEqual(203);
});

test("a long reason is broken into lines that fit the column", () => {
  expect(wrapped("buttonhole track")).toEqual(["buttonhole", "track"]);
  expect(wrapped("thin skin")).toEqual(["thin skin"]);
});

test("both ends of a loop stay in sight, so that its arterial limb can be told", () => {
  const { top, height } = frameFor(loop, { from: 6, to: 30 });
  for (const at of [0, 38]) {
    expect(loop.pointAt(at).y).toBeGreaterThan(top);
    expect(loop.pointAt(at).y).toBeLessThan(top + height);
  }
});

describe("past punctures", () => {
  const all = [
    past("arterial", 6, 2),
    past("arterial", 6.1, 9),
    past("venous", 14, 20),
    past("venous", null, 2),
    past("venous", 30, 2),
  ];

  test("without a place, or beyond the vessel, are not drawn", () => {
    expect(placedOn(line, all)).toHaveLength(3);
  });

  test("carry their age when recent, only the newest of each half centimetre", () => {
    expect(newestOf(placedOn(line, all)).map(({ days_ago }) => days_ago)).toEqual([2]);
  });
});

describe("the distances in words", () => {
  const zone = { id: "z", from_cm: 9, to_cm: 11, why: "bulge", action: "keep off", since: "2026-01-02" };

  test("say the pair, the anastomosis, the last site, and a marked stretch", () => {
    const punctures = placedOn(line, [past("arterial", 8, 9), past("arterial", 6, 2), past("venous", 14, 2)]);
    expect(distances({ arterial: 9.5, venous: 15 }, punctures, [zone])).toEqual([
      "A to V: 5.5 cm along the vessel, site to site.",
      "A: 9.5 cm from the anastomosis; 3.5 cm from the last A (6.0 cm, 2 days ago).",
      "A lies in a stretch marked keep off: bulge.",
      "V: 15.0 cm from the anastomosis; 1.0 cm from the last V (14.0 cm, 2 days ago).",
    ]);
  });

  test("leave out what is not known", () => {
    expect(distances({ arterial: 6, venous: null }, [], [])).toEqual(["A: 6.0 cm from the anastomosis."]);
    expect(distances({}, [], [])).toEqual([]);
  });
});
