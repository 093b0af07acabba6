// What is seen of an access in this treatment so far: the examination as typed or stored, the skin at the sites, and
// which rows of the emergency table it meets. Words for the fields stand here too.
import { type EmergencyRow, emergencies } from "../../../data/emergency";
import { type Tables, tables } from "../../../data/lookups";
import { session } from "../../../data/session";
import type { AccessPack, Examination } from "../../../data/shapes";
import { newExamination } from "../../../data/treatment";
import { uuid7 } from "../../../data/uuid7";
import type { Desk } from "./desk";

export const LABELS: Readonly<Record<string, string>> = {
  thrill: "Thrill: lay a hand on it",
  bruit: "Bruit: listen along it",
  pulse: "Pulse",
  augmentation: "Augmentation, outflow pressed shut",
  arm_raise: "When the arm is raised",
  swelling: "Swelling",
  collaterals: "Collateral veins",
  skin: "Skin over the access",
  bulge: "Bulge",
  bleeding: "Bleeding",
  hand: "Hand on that side",
  fever: "Fever",
  needling: "How needling went",
  circuit: "While the pump runs",
};

export const labelOf = (field: string): string => LABELS[field] ?? field.replaceAll("_", " ");
export const shortLabelOf = (field: string): string => labelOf(field).split(/[:,]/)[0] ?? field;

/** The examination of this access as it stands: typed over, stored, or not begun. */
export function examinationOf(desk: Desk, access: string): Examination | undefined {
  const { typed, document } = desk;
  if (typed.value.examination?.access === access) return typed.value.examination;
  return document.value.examinations.findLast((one) => one.access === access);
}

export function changeExamination(desk: Desk, access: string, changed: Partial<Examination>): void {
  const now = new Date().toISOString();
  const stood = examinationOf(desk, access) ?? newExamination(uuid7(), access, now);
  const examiner = stood.examiner || (session.value?.user?.name ?? "");
  desk.change({ examination: { ...stood, examiner, ...changed } });
}

export function answer(desk: Desk, access: string, field: string, word: string | undefined): void {
  const stood = examinationOf(desk, access);
  const { [field]: _before, ...others } = stood?.findings ?? {};
  const findings = word === undefined ? others : { ...others, [field]: word };
  const filled_together = (stood?.filled_together ?? []).filter((name) => name !== field);
  changeExamination(desk, access, { findings, filled_together });
}

/** The fields asked before the needles, thrill and bruit first. */
export function fieldsBefore({ findings, seen_during_treatment }: Tables): string[] {
  return Object.keys(findings).filter((field) => !seen_during_treatment.includes(field));
}

/** What *the rest found normal* would fill: never thrill and bruit, never a sign seen last time, never an answer. */
export function restOf(words: Tables, pack: AccessPack, examination: Examination | undefined): string[] {
  return fieldsBefore(words).filter(
    (field) =>
      !words.never_filled_together.includes(field) &&
      !(field in pack.last_signs) &&
      examination?.findings[field] === undefined,
  );
}

export function fillRest(desk: Desk, pack: AccessPack, words: Tables): void {
  const stood = examinationOf(desk, pack.id);
  const rest = restOf(words, pack, stood);
  const filled = Object.fromEntries(rest.map((field) => [field, words.findings[field]?.[0] ?? ""]));
  changeExamination(desk, pack.id, {
    findings: { ...stood?.findings, ...filled },
    filled_together: [...(stood?.filled_together ?? []), ...rest],
  });
}

/** The rows of the emergency table that this access meets now, most urgent first. */
export function rowsMet(desk: Desk, pack: AccessPack): EmergencyRow[] {
  const table = tables.value;
  if (!table) return [];
  const plan = desk.typed.value.plan;
  const planned = plan ? Object.values(plan.sites).map(({ skin }) => skin) : [];
  const placed = desk.document.value.needles.filter(({ access }) => access === pack.id).map(({ skin }) => skin);
  // A field that was not odd last time counts as it normally reads: the careful side for what is new since then.
  const usual = Object.entries(table.findings).map(([field, words]) => [field, words[0] ?? ""]);
  const before = pack.last_signs_on ? { ...Object.fromEntries(usual), ...pack.last_signs } : {};
  const { examinations } = desk.document.value;
  return emergencies(table.emergency, {
    // Whoever examined, and as first or second: what either saw counts.
    looks: examinations
      .filter(({ access }) => access === pack.id)
      .flatMap((one) => [one.findings, one.second_findings]),
    words: table.findings,
    skins: [...planned, ...placed],
    before,
    zones: pack.zones,
    now: new Date(),
  });
}
