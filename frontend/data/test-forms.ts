// The forms of the timed tests (recirculation, access flow) as typed, and the documents made of them. Numbers stay
// texts until they are sent; what is not typed is missing, never zero. Nothing is computed here.
import { numberOf } from "./lookups";

export interface TestForm {
  readonly patient: string;
  readonly access: string;
  readonly treatment: string | null;
  readonly measured_at: string;
  readonly texts: Readonly<Record<string, string>>;
  readonly words: Readonly<Record<string, string>>;
  readonly moments: Readonly<Record<string, string>>;
  readonly ultrafiltration_off: boolean | null;
}

export const SAMPLES = ["systemic", "arterial", "venous"] as const;
const DRAW_NUMBERS = [
  ...SAMPLES,
  "pump_ml_min",
  "slow_flow_ml_min",
  "slow_flow_seconds",
  "minutes_into_treatment",
] as const;
const DRAW_MOMENTS = ["arterial_venous_drawn_at", "systemic_drawn_at"] as const;
const FLOW_NUMBERS = [
  "ml_min",
  "pump_ml_min",
  "recirculation_fraction",
  "ultrafiltration_ml_min",
  "cardiopulmonary_fraction",
  "normal_ml_min",
  "reversed_ml_min",
  "hematocrit_fraction",
  "diameter_cm",
  "velocity_cm_s",
  ...SAMPLES,
] as const;
const FLOW_MOMENTS = ["systemic_drawn_at", "reversed_at", "arterial_venous_drawn_at"] as const;

export type Document = Readonly<Record<string, unknown>>;

export function newForm(
  about: Pick<TestForm, "patient" | "access" | "treatment" | "measured_at">,
  unit: string,
): TestForm {
  return { ...about, texts: {}, words: { unit }, moments: {}, ultrafiltration_off: null };
}

const numbers = ({ texts }: TestForm, names: readonly string[]): Document =>
  Object.fromEntries(names.map((name) => [name, numberOf(texts[name] ?? "")]));
const moments = (form: TestForm, names: readonly string[]): Document =>
  Object.fromEntries(names.map((name) => [name, form.moments[name] ?? null]));
const word = ({ words }: TestForm, name: string, otherwise = ""): string => words[name] || otherwise;

const about = ({ patient, access, treatment, measured_at }: TestForm): Document => ({
  patient,
  access,
  treatment,
  measured_at,
});

export function recirculationFrom(form: TestForm): Document {
  return {
    ...about(form),
    ...numbers(form, DRAW_NUMBERS),
    ...moments(form, DRAW_MOMENTS),
    unit: word(form, "unit"),
    systemic_site: word(form, "systemic_site"),
    ultrafiltration_off: form.ultrafiltration_off,
    lines: word(form, "lines", "not known"),
  };
}

export function flowFrom(form: TestForm): Document {
  const samples = SAMPLES.some((name) => (form.texts[name] ?? "").trim() !== "");
  const urea = word(form, "method") === "urea, lines reversed";
  const inputs = {
    ...numbers(form, FLOW_NUMBERS),
    ...moments(form, FLOW_MOMENTS),
    unit: urea || samples ? word(form, "unit") : "",
    systemic_lines: word(form, "systemic_lines"),
  };
  return {
    ...about(form),
    method: word(form, "method"),
    inputs,
    lines: word(form, "lines", "not known"),
    lines_put_back_by: word(form, "lines_put_back_by"),
    lines_put_back_at: form.moments["lines_put_back_at"] ?? null,
    arterial_direction: word(form, "arterial_direction"),
    ...numbers(form, ["systolic_mmhg", "diastolic_mmhg"]),
    operator: word(form, "operator"),
  };
}

/** A stored document back as a form, as when the laboratory's values come later. */
export function formOf(document: Document): TestForm {
  const flat = { ...document, ...(document["inputs"] as Document | undefined) };
  const texts: Record<string, string> = {};
  const words: Record<string, string> = {};
  const times: Record<string, string> = {};
  for (const [name, value] of Object.entries(flat)) {
    if (typeof value === "number") texts[name] = String(value);
    else if (typeof value === "string" && value && name.endsWith("_at")) times[name] = value;
    else if (typeof value === "string" && value) words[name] = value;
  }
  const off = document["ultrafiltration_off"];
  return {
    patient: words["patient"] ?? "",
    access: words["access"] ?? "",
    treatment: words["treatment"] ?? null,
    measured_at: times["measured_at"] ?? "",
    texts,
    words,
    moments: times,
    ultrafiltration_off: typeof off === "boolean" ? off : null,
  };
}
