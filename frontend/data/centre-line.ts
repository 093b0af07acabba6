// Centimetres along a drawn vessel and back: the same table of arc lengths as access/drawing/centre_line.py, held to the
// same points (fixtures/arithmetic/centre-lines.json). It draws nothing and judges no place.

export type Side = "left" | "right";

/** One configuration as drawn for a left arm: a start point, then cubic segments from the arterial anastomosis on. */
export interface Geometry {
  readonly configuration: string;
  readonly label: string;
  readonly limb: string | null;
  readonly limb_word: string;
  readonly view_box: readonly number[];
  readonly wall: string;
  readonly width_cm: number;
  readonly usual_length_cm: number;
  readonly centre: readonly (readonly number[])[];
  readonly native: readonly { readonly kind: string; readonly path: string }[];
  readonly anastomoses: readonly { readonly words: string; readonly end: string }[];
  readonly caution: string;
}

export interface Point {
  readonly x: number;
  readonly y: number;
}

/** A place on the vessel: cm from the arterial anastomosis, and cm across, positive towards the thumb. */
export interface Place {
  readonly along_cm: number;
  readonly across_cm: number;
}

export interface CentreLine {
  readonly lengthCm: number;
  readonly unitsPerCm: number;
  readonly pointAt: (alongCm: number, acrossCm?: number) => Point;
  readonly directionAt: (alongCm: number) => Point;
  /** The unit normal on the thumb's side of a line and on the outer side of a loop. */
  readonly outwardAt: (alongCm: number) => Point;
  readonly nearest: (x: number, y: number) => Place;
}

interface Table {
  readonly xs: Float64Array;
  readonly ys: Float64Array;
  readonly lengths: Float64Array;
}

export const STEPS = 256;
const tables = new WeakMap<Geometry, Readonly<Record<Side, Table>>>();

/** The x about which a right arm mirrors a left one: x becomes `mirrorAt(geometry) - x`. */
export function mirrorAt({ view_box: [left = 0, , width = 0] }: Geometry): number {
  return 2 * left + width;
}

function sampled({ centre }: Geometry): Table {
  const [start = [], ...segments] = centre;
  const count = segments.length * STEPS + 1;
  const table: Table = {
    xs: new Float64Array(count),
    ys: new Float64Array(count),
    lengths: new Float64Array(count),
  };
  let [x0 = 0, y0 = 0] = start;
  table.xs[0] = x0;
  table.ys[0] = y0;
  let index = 0;
  for (const [x1 = 0, y1 = 0, x2 = 0, y2 = 0, x3 = 0, y3 = 0] of segments) {
    for (let step = 1; step <= STEPS; step += 1) {
      const t = step / STEPS;
      const [a, b, c, d] = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t ** 3];
      index += 1;
      table.xs[index] = a * x0 + b * x1 + c * x2 + d * x3;
      table.ys[index] = a * y0 + b * y1 + c * y2 + d * y3;
    }
    [x0, y0] = [x3, y3];
  }
  for (let at = 1; at < count; at += 1) {
    const step = Math.hypot(of(table.xs, at) - of(table.xs, at - 1), of(table.ys, at) - of(table.ys, at - 1));
    table.lengths[at] = of(table.lengths, at - 1) + step;
  }
  return table;
}

const of = (values: Float64Array, at: number): number => values[at] ?? 0;

function tableOf(geometry: Geometry, side: Side): Table {
  let both = tables.get(geometry);
  if (!both) {
    const left = sampled(geometry);
    const edge = mirrorAt(geometry);
    both = { left, right: { ...left, xs: left.xs.map((x) => edge - x) } };
    tables.set(geometry, both);
  }
  return both[side];
}

/** The last step of the table that begins at or before this length. */
function stepAt(lengths: Float64Array, wanted: number): number {
  let [low, high] = [0, lengths.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (of(lengths, middle) <= wanted) low = middle;
    else high = middle;
  }
  return low;
}

function chord({ xs, ys }: Table, at: number): { dx: number; dy: number; step: number } {
  const [dx, dy] = [of(xs, at + 1) - of(xs, at), of(ys, at + 1) - of(ys, at)];
  return { dx, dy, step: Math.hypot(dx, dy) };
}

/** The normal on the thumb's side; where the vessel runs straight across, its right hand. */
function towardsThumb(table: Table, at: number, thumb: number): Point {
  const { dx, dy, step } = chord(table, at);
  const sign = -dy * thumb < 0 ? -1 : 1;
  return { x: (-dy / step) * sign, y: (dx / step) * sign };
}

function footOn({ xs, ys, lengths }: Table, x: number, y: number): { at: number; part: number; square: number } {
  let best = { at: 0, part: 0, square: Number.POSITIVE_INFINITY };
  for (let at = 0; at < lengths.length - 1; at += 1) {
    const [dx, dy] = [of(xs, at + 1) - of(xs, at), of(ys, at + 1) - of(ys, at)];
    const [px, py] = [x - of(xs, at), y - of(ys, at)];
    const part = Math.min(Math.max((px * dx + py * dy) / (dx * dx + dy * dy), 0), 1);
    const square = (px - part * dx) ** 2 + (py - part * dy) ** 2;
    if (square < best.square) best = { at, part, square };
  }
  return best;
}

/** The centre line of one patient; without a known length, at the scale of the drawing. */
export function centreLine(geometry: Geometry, side: Side, lengthCm: number | null): CentreLine {
  const length = lengthCm ?? geometry.usual_length_cm;
  if (!(Number.isFinite(length) && length > 0)) throw new RangeError(`A vessel of ${length} cm cannot be drawn.`);
  const table = tableOf(geometry, side);
  const thumb = side === "left" ? 1 : -1;
  const unitsPerCm = of(table.lengths, table.lengths.length - 1) / length;

  const on = (at: number, part: number): Point => {
    const { dx, dy } = chord(table, at);
    return { x: of(table.xs, at) + part * dx, y: of(table.ys, at) + part * dy };
  };
  const directionAt = (alongCm: number): Point => {
    const { dx, dy, step } = chord(table, stepAt(table.lengths, alongCm * unitsPerCm));
    return { x: dx / step, y: dy / step };
  };
  return {
    lengthCm: length,
    unitsPerCm,
    directionAt,
    outwardAt: (alongCm) => {
      const { x, y } = directionAt(alongCm);
      return { x: -thumb * y, y: thumb * x };
    },
    pointAt: (alongCm, acrossCm = 0) => {
      if (!(alongCm >= 0 && alongCm <= length)) throw new RangeError(`${alongCm} cm is not on this vessel.`);
      const wanted = alongCm * unitsPerCm;
      const at = stepAt(table.lengths, wanted);
      const begin = of(table.lengths, at);
      const { x, y } = on(at, (wanted - begin) / (of(table.lengths, at + 1) - begin));
      const normal = towardsThumb(table, at, thumb);
      return { x: x + acrossCm * unitsPerCm * normal.x, y: y + acrossCm * unitsPerCm * normal.y };
    },
    nearest: (x, y) => {
      const { at, part, square } = footOn(table, x, y);
      const begin = of(table.lengths, at);
      const along = begin + part * (of(table.lengths, at + 1) - begin);
      const [foot, normal] = [on(at, part), towardsThumb(table, at, thumb)];
      const sign = (x - foot.x) * normal.x + (y - foot.y) * normal.y >= 0 ? 1 : -1;
      return { along_cm: along / unitsPerCm, across_cm: (sign * Math.sqrt(square)) / unitsPerCm };
    },
  };
}
