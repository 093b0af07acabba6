// What is marked on the interactive map: its ruler, days of rest, zones, earlier punctures and the labels beside them.
// Ink and words alone; red and blue are kept for the needles, which are drawn in AccessMap.
import type { CentreLine, Point } from "../../data/centre-line";
import type { Zone } from "../../data/shapes";
import { AGES_SHOWN_DAYS, daysInWords, LETTER, newestOf, type Past, type Stretch, spread, wrapped } from "./map-frame";
import { beside, type Ground, halfWidth, path } from "./map-ground";

const REST_REACH_CM = 0.5;
/** One stroke in so many tenths of a cm, by days of rest: the denser, the fresher. */
const DENSITY = [
  [3, 1],
  [7, 2],
  [AGES_SHOWN_DAYS, 4],
] as const;

/** Points along one side of a stretch, near enough to each other to look like a curve. */
function along(line: CentreLine, { from, to }: Stretch, outward: number): Point[] {
  const steps = Math.max(Math.round((to - from) * 5), 1);
  return Array.from({ length: steps + 1 }, (_, step) => beside(line, from + ((to - from) * step) / steps, outward));
}

export function Ruler({ line, frame: { unit }, stretch, drawn }: Ground) {
  const base = halfWidth(drawn.geometry) + 4 * unit;
  const every = unit < 0.7 ? 2 : 5;
  const ticks = Array.from({ length: Math.floor(line.lengthCm) + 1 }, (_, at) => at);
  return (
    <g>
      <path class="map-ruler firm" d={path(along(line, stretch, -base))} />
      {ticks.map((at) => {
        const numbered = at % every === 0;
        const [start, end] = [beside(line, at, -base), beside(line, at, -base - (numbered ? 8 : 5) * unit)];
        const number = beside(line, at, -base - 17 * unit);
        return (
          <g key={at}>
            <path class="map-ruler" d={path([start, end])} />
            {numbered && (
              <text class="map-number" x={number.x} y={number.y + 4 * unit} font-size={12 * unit} text-anchor="middle">
                {at}
              </text>
            )}
          </g>
        );
      })}
    </g>
  );
}

/** Strokes across the vessel around each recent puncture, the denser the fewer days it has rested. */
export function Rest({ line, drawn, past }: Ground & { readonly past: readonly Past[] }) {
  const half = halfWidth(drawn.geometry);
  const strokes: string[] = [];
  for (let index = 0; index <= line.lengthCm * 10; index += 1) {
    const near = past.filter((one) => Math.abs(one.along_cm - index / 10) <= REST_REACH_CM + 1e-9);
    const days = Math.min(...near.map(({ days_ago }) => days_ago));
    const every = DENSITY.find(([limit]) => days < limit)?.[1];
    if (every && index % every === 0)
      strokes.push(path([beside(line, index / 10, half), beside(line, index / 10, -half)]));
  }
  return <path class="map-rest" d={strokes.join("")} />;
}

/** The two hatchings of zones: crossed for keep off, slanting for take care. */
export function Hatchings({ id, unit }: { readonly id: string; readonly unit: number }) {
  const size = 5 * unit;
  return (
    <defs>
      {["keep", "care"].map((kind) => (
        <pattern
          key={kind}
          id={`${id}-${kind}`}
          width={size}
          height={size}
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(38)"
        >
          <path
            class="map-hatch"
            d={`M0 0V${size}${kind === "keep" ? `M0 0H${size}` : ""}`}
            stroke-width={1.6 * unit}
          />
        </pattern>
      ))}
    </defs>
  );
}

export function ZoneBand({ zone, id, ...ground }: Ground & { readonly zone: Zone; readonly id: string }) {
  const { line, drawn, frame } = ground;
  const part = { from: Math.max(zone.from_cm, 0), to: Math.min(zone.to_cm, line.lengthCm) };
  if (part.from >= part.to) return null;
  const reach = halfWidth(drawn.geometry) + 3 * frame.unit;
  const edge = `${path([...along(line, part, reach), ...along(line, part, -reach).reverse()])}Z`;
  const keep = zone.action === "keep off";
  return <path class={`map-zone ${keep ? "keep" : "care"}`} d={edge} fill={`url(#${id}-${keep ? "keep" : "care"})`} />;
}

export function PastMark({ one, line, frame: { unit } }: Ground & { readonly one: Past }) {
  const { x, y } = line.pointAt(one.along_cm);
  const size = 3 * unit;
  const faint = one.days_ago < AGES_SHOWN_DAYS ? "map-past" : "map-past faint";
  if (one.role === "arterial") return <circle class={faint} cx={x} cy={y} r={size} />;
  return <rect class={faint} x={x - size} y={y - size} width={2 * size} height={2 * size} />;
}

interface Label {
  readonly key: string;
  readonly lines: readonly string[];
  readonly at: number;
  readonly soft: boolean;
}

function labelsFor({ past, zones, line, drawn, frame }: LabelsProps): Label[] {
  const middle = ({ from_cm, to_cm }: Zone): number => (Math.max(from_cm, 0) + Math.min(to_cm, line.lengthCm)) / 2;
  const within = (at: number): boolean => {
    const { y } = line.pointAt(at);
    return y > frame.top && y < frame.top + frame.height;
  };
  return [
    ...zones
      .filter(({ from_cm, to_cm }) => from_cm < line.lengthCm && to_cm > 0)
      .map((zone) => ({ key: zone.id, lines: [zone.action, ...wrapped(zone.why)], at: middle(zone), soft: false })),
    ...newestOf(past).map(({ role, along_cm, days_ago }) => ({
      key: `${role} ${along_cm} ${days_ago}`,
      lines: [`${LETTER[role]} ${daysInWords(days_ago)}`],
      at: along_cm,
      soft: true,
    })),
    ...drawn.geometry.anastomoses
      .map(({ words, end }) => ({
        key: end,
        lines: wrapped(words.replace("\n", " ")),
        at: end === "artery" ? 0 : line.lengthCm,
        soft: true,
      }))
      .filter(({ at }) => within(at)),
  ];
}

interface LabelsProps extends Ground {
  readonly past: readonly Past[];
  readonly zones: readonly Zone[];
}

/** Words beside the vessel with a line to their place: what to keep off and why, and how long a site has rested. */
export function Labels(props: LabelsProps) {
  const { line, drawn, frame } = props;
  const { unit, top, height, columns } = frame;
  const row = 14 * unit;
  const all = labelsFor(props).map((label) => ({
    ...label,
    foot: beside(line, label.at, halfWidth(drawn.geometry) + 2 * unit),
    right: line.outwardAt(label.at).x >= 0,
  }));
  return (
    <g>
      {[true, false].map((right) => {
        const side = all.filter((label) => label.right === right).sort((a, b) => a.foot.y - b.foot.y);
        const heights = side.map(({ lines }) => lines.length * row + 4 * unit);
        const wanted = side.map(({ foot }) => foot.y);
        const centres = spread(wanted, heights, top + 26 * unit, top + height - 26 * unit);
        const x = right ? columns.right : columns.left;
        return side.map(({ key, lines, foot, soft }, index) => {
          const y = centres[index] ?? foot.y;
          const away = right ? -1 : 1;
          return (
            <g key={key} class={soft ? "map-label soft" : "map-label"}>
              <path
                class="map-leader"
                d={path([foot, { x: x + away * 12 * unit, y }, { x: x + away * 4 * unit, y }])}
              />
              {lines.map((words, at) => (
                <text
                  key={words}
                  x={x}
                  y={y + (at - (lines.length - 1) / 2) * row + 4 * unit}
                  font-size={12.5 * unit}
                  text-anchor={right ? "start" : "end"}
                >
                  {words}
                </text>
              ))}
            </g>
          );
        });
      })}
    </g>
  );
}
