// What the interactive map is drawn on: the limb, the vessel with its flow and its ends, the words at the edges, and the
// whole limb in small. All colours come from the stylesheet, so that one drawing serves light, dark and print.
import { type CentreLine, type Geometry, mirrorAt, type Point, type Side } from "../../data/centre-line";
import type { Drawn } from "./geometries";
import type { Frame, Stretch } from "./map-frame";

const DRAWN_CM = 16;

export interface Ground {
  readonly drawn: Drawn;
  readonly side: Side;
  readonly line: CentreLine;
  readonly frame: Frame;
  readonly stretch: Stretch;
}

export const halfWidth = ({ width_cm }: Geometry): number => (width_cm * DRAWN_CM) / 2;

/** A point off the centre line, outward positive. */
export function beside(line: CentreLine, alongCm: number, outward: number): Point {
  const [on, normal] = [line.pointAt(alongCm), line.outwardAt(alongCm)];
  return { x: on.x + outward * normal.x, y: on.y + outward * normal.y };
}

export const path = (points: readonly Point[]): string =>
  points.map(({ x, y }, index) => `${index ? "L" : "M"}${x.toFixed(2)} ${y.toFixed(2)}`).join("");

export function Background({ drawn: { geometry, limb }, side }: Ground) {
  const [[x = 0, y = 0] = [], ...segments] = geometry.centre;
  const course = `M${x} ${y}${segments.map((segment) => `C${segment.join(" ")}`).join("")}`;
  const width = 2 * halfWidth(geometry);
  return (
    <g transform={side === "right" ? `translate(${mirrorAt(geometry)} 0) scale(-1 1)` : undefined}>
      {limb && <path class="map-limb" d={limb.outline} />}
      {limb?.details.map((detail) => (
        <path key={detail} class="map-crease" d={detail} />
      ))}
      {geometry.native.map(({ kind, path: course }) => (
        <path key={course} class={`map-native ${kind}`} d={course} />
      ))}
      <path class="map-wall" d={course} stroke-width={width + 2.4} />
      {geometry.wall === "graft" && <path class="map-graft" d={course} stroke-width={width} />}
      {geometry.wall === "graft" && <path class="map-wall" d={course} stroke-width={width - 3.2} />}
      <path class="map-vessel" d={course} stroke-width={geometry.wall === "graft" ? width - 4.8 : width} />
    </g>
  );
}

/** Small open arrows within the vessel, each pointing where the blood flows. */
export function FlowArrows({ line, drawn }: Ground) {
  const count = Math.max(Math.round((line.unitsPerCm * line.lengthCm) / (5 * DRAWN_CM)), 2);
  const reach = halfWidth(drawn.geometry) * 0.5;
  const arrows = Array.from({ length: count }, (_, index) => {
    const tip = (line.lengthCm * (index + 0.5)) / count;
    const [at, way, out] = [line.pointAt(tip), line.directionAt(tip), line.outwardAt(tip)];
    const wing = (hand: number): Point => ({
      x: at.x - reach * way.x + hand * reach * out.x,
      y: at.y - reach * way.y + hand * reach * out.y,
    });
    return path([wing(1), at, wing(-1)]);
  });
  return <path class="map-flow" d={arrows.join("")} />;
}

/** A bar across the vessel at its arterial end, and at its venous end where that is drawn. */
export function Joints({ line, drawn: { geometry } }: Ground) {
  const reach = halfWidth(geometry) + 4;
  const bars = geometry.anastomoses.map(({ end }) => {
    const at = end === "artery" ? 0 : line.lengthCm;
    return path([beside(line, at, reach), beside(line, at, -reach)]);
  });
  return <path class="map-joint" d={bars.join("")} />;
}

/** Where hand, shoulder and thumb lie, at the edges of the shown part. */
export function Edges({ drawn: { landmarks }, side, frame }: Ground) {
  const { left, top, width, height, unit } = frame;
  const [near, far] = [left + 8 * unit, left + width - 8 * unit];
  const foot = top + height - 8 * unit;
  const body =
    side === "left" ? ({ x: near, "text-anchor": "start" } as const) : ({ x: far, "text-anchor": "end" } as const);
  const thumb =
    side === "left" ? ({ x: far, "text-anchor": "end" } as const) : ({ x: near, "text-anchor": "start" } as const);
  return (
    <g class="map-edge" font-size={12.5 * unit}>
      {landmarks.has("shoulder") && (
        <text {...body} y={top + 18 * unit}>
          ↑ shoulder
        </text>
      )}
      {landmarks.has("hand") && (
        <text {...body} y={foot}>
          ↓ hand
        </text>
      )}
      {landmarks.has("thumb side") && (
        <text {...thumb} y={foot}>
          {side === "left" ? "thumb side →" : "← thumb side"}
        </text>
      )}
    </g>
  );
}
