// Makes the document that is sent out of the one it started from and the parts that were typed. Pure: it knows neither
// the device nor the server, and leaves a part that was not typed exactly as it stood.
import { numberOf } from "./lookups";
import type {
  AccessPack,
  AfterCare,
  Examination,
  Frame,
  Needle,
  PressureReading,
  Role,
  TreatmentDocument,
} from "./shapes";

/** A pressure reading as typed: texts, so that a half-typed number survives a reload. */
export interface TypedReading {
  readonly id: string;
  /** When it was read; empty until the reading is finished. */
  readonly measured_at: string;
  readonly texts: Readonly<Record<string, string>>;
  readonly cuff_limb: string;
  readonly circuit_checked: boolean;
  readonly repeats: string | null;
}

export interface TypedAfter {
  readonly bleeding: Readonly<Record<string, string>>;
  readonly used: string;
  readonly left_how: string;
  readonly note: string;
}

/** The parts of a treatment as they are kept on the device; each may be missing. */
export interface TypedParts {
  readonly frame?: Partial<Frame>;
  readonly examination?: Examination;
  readonly needles?: readonly Needle[];
  readonly pressures?: readonly PressureReading[];
  readonly after?: TypedAfter;
  readonly reason?: string;
}

function byId<T extends { readonly id: string }>(stood: readonly T[], typed: readonly T[] = []): readonly T[] {
  const changed = new Map(typed.map((one) => [one.id, one]));
  const known = new Set(stood.map(({ id }) => id));
  return [...stood.map((one) => changed.get(one.id) ?? one), ...typed.filter(({ id }) => !known.has(id))];
}

export function compose(base: TreatmentDocument, typed: TypedParts): TreatmentDocument {
  return {
    ...base,
    frame: { ...base.frame, ...typed.frame },
    examinations: byId(base.examinations, typed.examination && [typed.examination]),
    needles: byId(base.needles, typed.needles),
    pressures: byId(base.pressures, typed.pressures),
    after: typed.after ? afterCare(typed.after) : base.after,
  };
}

export function typedAfter(after: AfterCare): TypedAfter {
  const bleeding = Object.entries(after.bleeding).map(([needle, minutes]) => [needle, String(minutes)]);
  return { ...after, bleeding: Object.fromEntries(bleeding) };
}

function afterCare({ bleeding, ...rest }: TypedAfter): AfterCare {
  const minutes = Object.entries(bleeding).flatMap(([needle, text]) => {
    const value = numberOf(text);
    return value === null ? [] : [[needle, value]];
  });
  return { ...rest, bleeding: Object.fromEntries(minutes) };
}

export function newExamination(id: string, access: string, measured_at: string): Examination {
  const second = { second_examiner: "", second_findings: {} };
  const stop = { told: "", needling_reason: "", needling_physician: "" };
  return { id, access, measured_at, findings: {}, filled_together: [], examiner: "", ...second, ...stop, note: "" };
}

export const NUMBERS = [
  "minute",
  "pump_ml_min",
  "pre_pump_arterial_mmhg",
  "post_pump_mmhg",
  "venous_mmhg",
  "systolic_mmhg",
  "diastolic_mmhg",
  "arterial_static_mmhg",
  "venous_static_mmhg",
  "arterial_height_cm",
  "venous_height_cm",
] as const;
export type Quantity = (typeof NUMBERS)[number];

export function newReading(id: string, repeats: string | null = null): TypedReading {
  return { id, measured_at: "", texts: {}, cuff_limb: "", circuit_checked: false, repeats };
}

/** A reading that was finished, back as typed texts, to be corrected under its own id. */
export function typedReading(reading: PressureReading): TypedReading {
  const { id, measured_at, cuff_limb, circuit_checked, repeats } = reading;
  const texts = Object.fromEntries(
    NUMBERS.flatMap((name) => (reading[name] === null ? [] : [[name, String(reading[name])]])),
  );
  return { id, measured_at, texts, cuff_limb, circuit_checked, repeats };
}

export function readingFrom(typed: TypedReading, now: string, height_formula: string): PressureReading {
  const numbers = Object.fromEntries(NUMBERS.map((name) => [name, numberOf(typed.texts[name] ?? "")]));
  const { id, cuff_limb, circuit_checked, repeats } = typed;
  const said = { id, measured_at: typed.measured_at || now, cuff_limb, circuit_checked, repeats };
  // The formula of the height term belongs to a static reading only.
  const isStatic = numbers["arterial_static_mmhg"] !== null || numbers["venous_static_mmhg"] !== null;
  return { ...(numbers as Record<Quantity, number | null>), ...said, height_formula: isStatic ? height_formula : "" };
}

/** The access a treatment is about unless a person chooses: one in use before one that is not. */
export function accessOf(accesses: readonly AccessPack[], chosen?: string): AccessPack | undefined {
  return accesses.find(({ id }) => id === chosen) ?? accesses.find(({ status }) => status === "in use") ?? accesses[0];
}

/** The needle of a role that is in the vessel now, or was the last to be. */
export function needleIn(needles: readonly Needle[], role: Role): Needle | undefined {
  const tries = needles.filter((needle) => needle.role === role);
  return tries.findLast(({ outcome }) => outcome === "in use to the end" || outcome === "") ?? tries.at(-1);
}
