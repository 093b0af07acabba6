// The shapes that go over the wire, taken from the API's own description (contract.ts is generated from it) and named
// as the page names them. Nothing is renamed or computed. Two things are loosened: what a request may leave out is
// always there in an answer; and a word of a vocabulary is a text, since the words come from the tables at run time,
// except where the page itself tells them apart.
import type { components } from "./contract";

type Schemas = components["schemas"];

export type Urgency = Schemas["Urgency"];
export type Role = Schemas["NeedleRole"];

type Kept = Urgency | Role;
export type Full<T> = [T] extends [Kept]
  ? T
  : T extends string
    ? string
    : T extends readonly (infer Item)[]
      ? readonly Full<Item>[]
      : T extends object
        ? { readonly [Key in keyof T]-?: Full<Exclude<T[Key], undefined>> }
        : T;

export type Session = Full<Schemas["Session"]>;
export type Clinic = Full<Schemas["Clinic"]>;
export type Patient = Full<Schemas["Patient"]>;
export type AccessTitle = Full<Schemas["AccessTitle"]>;
export type LastSites = Full<Schemas["LastSites"]>;
export type TodayRow = Full<Schemas["TodayRow"]>;
export type Today = Full<Schemas["Today"]>;
export type Zone = Full<Schemas["Zone"]>;
/** A past puncture; a drawing must bear one whose place was not recorded. */
export type PastPuncture = Omit<Full<Schemas["PastPuncture"]>, "along_cm"> & { readonly along_cm: number | null };
export type Band = Full<Schemas["Band"]>;
/** The pair proposed for today; `none_because` says why there is none. */
export type Plan = Full<Schemas["Plan"]>;
export type AccessPack = Omit<Full<Schemas["AccessPack"]>, "punctures"> & {
  readonly punctures: readonly PastPuncture[];
};
export type Flag = Full<Schemas["Flag"]>;
export type Orders = Full<Schemas["Orders"]>;
export type Ask = Full<Schemas["Ask"]>;
export type TreatmentPage = Full<Schemas["TreatmentPack"]>;
export type PatientTests = Full<Schemas["PatientTests"]>;
export type TestRow = Full<Schemas["WaitingTest"]>;

export type Frame = Full<Schemas["Frame"]>;
export type Examination = Full<Schemas["ExaminationPart"]>;
export type Needle = Full<Schemas["NeedlePart"]>;
export type PressureReading = Full<Schemas["PressurePart"]>;
export type AfterCare = Full<Schemas["After"]>;
export type TreatmentDocument = Full<Schemas["TreatmentDocument"]>;
