// The map on which needles are placed: the needled stretch as wide as the phone, a tap sets the active needle on the
// nearest half centimetre, big buttons and arrow keys move it, and the distances are said in words. It shows what it is
// given and reports where a needle is put; whether a place is advisable is said elsewhere.
import { useSignal } from "@preact/signals";
import { useEffect, useId, useMemo, useRef } from "preact/hooks";
import { centreLine, type Point, type Side } from "../../data/centre-line";
import { shown } from "../../data/lookups";
import type { PastPuncture, Role, Zone } from "../../data/shapes";
import { drawnFor, whose } from "./geometries";
import {
  distances,
  frameFor,
  keyed,
  LETTER,
  lengthOf,
  placedOn,
  placeInWords,
  type Sites,
  STEP_CM,
  snapped,
  stretchOf,
  tapped,
} from "./map-frame";
import { Background, Edges, FlowArrows, type Ground, Joints } from "./map-ground";
import { Hatchings, Labels, PastMark, Rest, Ruler, ZoneBand } from "./map-marks";
import "../styles/map.css";

export interface AccessMapProps {
  readonly configuration: string;
  readonly side: string;
  /** From the arterial anastomosis along the vessel; null where it was not measured. */
  readonly lengthCm: number | null;
  readonly needledFromCm: number | null;
  readonly needledToCm: number | null;
  readonly punctures: readonly PastPuncture[];
  readonly zones: readonly Zone[];
  readonly planned: Sites | null;
  readonly value: Sites;
  /** The needle that a tap places. */
  readonly active: Role;
  readonly onPlace: (role: Role, alongCm: number) => void;
  /** A needle was touched or reached by key. */
  readonly onActive?: ((role: Role) => void) | undefined;
}

const ROLES: readonly Role[] = ["arterial", "venous"];
const FINGER_PX = 56;

/** A needle that is being dragged, and how far from its place the finger took hold of it (cm along the vessel). */
interface Grip {
  readonly role: Role;
  readonly offset: number;
}

/** Everything that follows from which access it is, worked out once. */
function useGround({ configuration, side, lengthCm, needledFromCm, needledToCm }: AccessMapProps): Ground {
  return useMemo(() => {
    const drawn = drawnFor(configuration);
    const on: Side = side === "right" ? "right" : "left";
    const line = centreLine(drawn.geometry, on, lengthOf(drawn.geometry.usual_length_cm, lengthCm, needledToCm));
    const stretch = stretchOf(line, needledFromCm, needledToCm);
    return { drawn, side: on, line, stretch, frame: frameFor(line, stretch) };
  }, [configuration, side, lengthCm, needledFromCm, needledToCm]);
}

/** The map with its step buttons and its distances. */
export function AccessMap(props: AccessMapProps) {
  const ground = useGround(props);
  const past = placedOn(ground.line, props.punctures);
  const unplaced = props.punctures.length - past.length;
  return (
    <div class="access-map">
      <MapDrawing {...props} />
      <Steps {...props} ground={ground} />
      <ul class="map-distances">
        {distances(props.value, past, props.zones).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
        {unplaced > 0 && <li class="soft">Earlier punctures without a place on this map: {unplaced}.</li>}
      </ul>
    </div>
  );
}

/** The picture alone, for a screen that has buttons and distances of its own. */
export function MapDrawing(props: AccessMapProps) {
  const ground = useGround(props);
  const { drawn, side, line, frame } = ground;
  const picture = useRef<SVGSVGElement>(null);
  const grip = useSignal<Grip | null>(null);
  const finger = useFinger(picture, frame.unit);
  const id = useId();
  const past = placedOn(line, props.punctures);

  const place = (role: Role, at: number | null): void => {
    if (at !== null && at !== props.value[role]) props.onPlace(role, at);
  };
  const alongAt = (event: MouseEvent, offset = 0): number | null => {
    const point = picture.current && pointOf(picture.current, event);
    return point && tapped(line, point, offset);
  };
  const grab = (role: Role, at: number, event: MouseEvent): void => {
    const point = picture.current && pointOf(picture.current, event);
    grip.value = point && { role, offset: at - line.nearest(point.x, point.y).along_cm };
    props.onActive?.(role);
  };
  const drag = (event: MouseEvent): void => {
    if (grip.value) place(grip.value.role, alongAt(event, grip.value.offset));
  };
  const letGo = (): void => {
    grip.value = null;
  };
  return (
    <figure class="map-figure">
      <figcaption>
        <strong>{whose(drawn.geometry, side)}</strong>{" "}
        <span class="small soft">{drawn.limb?.seen ?? drawn.geometry.caution}</span>
      </figcaption>
      {/* biome-ignore lint/a11y/useKeyWithClickEvents: keys move the needles, which are sliders within it. */}
      {/* biome-ignore lint/a11y/useSemanticElements: a drawing cannot be a fieldset. */}
      <svg
        ref={picture}
        class="map-picture"
        role="group"
        aria-label={`Map: ${whose(drawn.geometry, side)}, ${drawn.geometry.label}`}
        viewBox={`${frame.left} ${frame.top} ${frame.width} ${frame.height}`}
        onClick={(event) => place(props.active, alongAt(event))}
        onPointerMove={drag}
        onPointerUp={letGo}
        onPointerCancel={letGo}
      >
        <Hatchings id={id} unit={frame.unit} />
        <Background {...ground} />
        <Rest {...ground} past={past} />
        <FlowArrows {...ground} />
        {props.zones.map((zone) => (
          <ZoneBand key={zone.id} {...ground} zone={zone} id={id} />
        ))}
        <Ruler {...ground} />
        <Joints {...ground} />
        {[...past].reverse().map((one) => (
          <PastMark key={`${one.role} ${one.along_cm} ${one.days_ago}`} {...ground} one={one} />
        ))}
        <Labels {...ground} past={past} zones={props.zones} />
        <Edges {...ground} />
        {ROLES.map((role) => (
          <Planned key={role} role={role} {...props} ground={ground} />
        ))}
        {ROLES.map((role) => (
          <Needle key={role} role={role} {...props} ground={ground} finger={finger.value} onGrab={grab} />
        ))}
      </svg>
      {drawn.limb && <p class="small soft">{drawn.geometry.caution}</p>}
    </figure>
  );
}

/** The radius, in units of the drawing, that a gloved finger hits: it shrinks as the picture grows. */
function useFinger(picture: { readonly current: SVGSVGElement | null }, unit: number) {
  const radius = useSignal((FINGER_PX / 2) * unit);
  useEffect(() => {
    const svg = picture.current;
    if (!svg) return;
    const watch = new ResizeObserver(() => {
      const scale = svg.getScreenCTM()?.a;
      if (scale) radius.value = FINGER_PX / 2 / scale;
    });
    watch.observe(svg);
    return () => watch.disconnect();
  }, [picture, radius]);
  return radius;
}

function pointOf(svg: SVGSVGElement, { clientX, clientY }: MouseEvent): Point | null {
  const matrix = svg.getScreenCTM();
  return matrix && new DOMPoint(clientX, clientY).matrixTransform(matrix.inverse());
}

interface MarkProps extends AccessMapProps {
  readonly role: Role;
  readonly ground: Ground;
}

/** Where the plan would have the needle: hollow and dashed, under the needle itself. */
function Planned({ role, planned, value, ground: { line, frame } }: MarkProps) {
  const at = planned?.[role] ?? null;
  if (at === null || at > line.lengthCm || at === value[role]) return null;
  const { x, y } = line.pointAt(at);
  return (
    <g class={`map-needle ${role} planned`}>
      <circle cx={x} cy={y} r={12 * frame.unit} />
      <text x={x} y={y + 5 * frame.unit} font-size={14 * frame.unit} text-anchor="middle">
        {LETTER[role]}
      </text>
    </g>
  );
}

interface NeedleProps extends MarkProps {
  readonly finger: number;
  readonly onGrab: (role: Role, at: number, event: MouseEvent) => void;
}

function Needle({ role, value, active, ground, finger, onGrab, onPlace, onActive }: NeedleProps) {
  const { line, frame, stretch } = ground;
  const at = value[role] ?? null;
  if (at === null || at > line.lengthCm) return null;
  const { x, y } = line.pointAt(at);
  const onKey = (event: KeyboardEvent): void => {
    const to = keyed(line, event.key, at, stretch);
    if (to === null) return;
    event.preventDefault();
    onPlace(role, to);
  };
  return (
    <g
      class={`map-needle ${role} ${role === active ? "active" : ""}`}
      role="slider"
      tabIndex={0}
      aria-label={`${role} needle`}
      aria-orientation="vertical"
      aria-valuemin={0}
      aria-valuemax={line.lengthCm}
      aria-valuenow={at}
      aria-valuetext={placeInWords(role, at)}
      onKeyDown={onKey}
      onFocus={() => onActive?.(role)}
      onClick={(event) => event.stopPropagation()}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        onGrab(role, at, event);
      }}
    >
      <circle class="map-finger" cx={x} cy={y} r={finger} />
      <circle class="map-ring" cx={x} cy={y} r={17 * frame.unit} />
      <circle cx={x} cy={y} r={12.5 * frame.unit} />
      <text x={x} y={y + 5 * frame.unit} font-size={14.5 * frame.unit} text-anchor="middle">
        {LETTER[role]}
      </text>
    </g>
  );
}

function Steps({ active, value, planned, onPlace, ground }: AccessMapProps & { readonly ground: Ground }) {
  const { line, stretch } = ground;
  const at = value[active] ?? null;
  const from = at ?? planned?.[active] ?? (stretch.from + stretch.to) / 2;
  const step = (by: number) => () => onPlace(active, snapped(line, from + by * STEP_CM));
  const letter = LETTER[active];
  return (
    <div class={`map-steps ${active}`}>
      <button type="button" onClick={step(-1)} aria-label={`−${STEP_CM} cm, ${letter} towards the anastomosis`}>
        −{STEP_CM}
      </button>
      <output aria-live="polite">
        <strong>
          {letter} {at === null ? "no place yet" : `${shown(at, 1)} cm`}
        </strong>
        <span class="small soft">{at === null ? "tap the vessel" : "from the anastomosis"}</span>
      </output>
      <button type="button" onClick={step(1)} aria-label={`+${STEP_CM} cm, ${letter} away from the anastomosis`}>
        +{STEP_CM}
      </button>
    </div>
  );
}
