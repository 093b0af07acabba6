// The shapes of the access page, the weekly list and the referrals, taken from the API's own description. Only the
// summary of a referral is written out here, since the description leaves it open.
import type { components } from "./contract";
import type { Flag, Full, Urgency } from "./shapes";

type Schemas = components["schemas"];

export type Comparator = Flag["comparators"][number];
export type Figure = Full<Schemas["Figure"]>;
export type LogRow = Full<Schemas["LogRow"]>;
export type AccessPage = Full<Schemas["AccessPage"]>;
export type Weighed = Full<Schemas["Weighed"]>;
export type Decision = Full<Schemas["Decision"]>;
/** A decision just made, with the referral that it began. */
export type Decided = Full<Schemas["Decided"]>;
export type DecisionOutcome = Schemas["DecisionOutcome"];
export type ReviewRow = Full<Schemas["ReviewRow"]>;
export type Sideline = Full<Schemas["Sideline"]>;
export type Review = Full<Schemas["Review"]>;
export type ReferralRow = Full<Schemas["ReferralRow"]>;
export type ReferralList = Full<Schemas["ReferralList"]>;
export type ReferralState = "draft" | "sent" | "acknowledged" | "decided" | "done" | "withdrawn";

/** A referral with what it rests on, as it stood when it was sent. */
export type Referral = Omit<Full<Schemas["Referral"]>, "summary"> & { readonly summary: Summary };

export interface SummaryFinding {
  readonly id: string;
  readonly rule: string;
  readonly urgency: Urgency;
  readonly time_in_words: string;
  readonly sentence: string;
  readonly since: string;
  readonly last_seen: string;
  readonly known_since: string | null;
  readonly times_seen: number;
  readonly times_needed: number;
  readonly limit_confirmed: boolean;
  readonly source_says: string;
  readonly missing: readonly string[];
  readonly evidence: readonly LogRow[];
  readonly comparators: readonly Comparator[];
}

export interface HistoryRow {
  readonly on: string;
  readonly what: string;
  readonly where_cm: number | null;
  readonly where_words: string;
  readonly degree_percent: number | null;
  readonly outcome: string;
}

/** What a nephrologist decides on, as it stood when it was sent. */
export interface Summary {
  readonly made_at: string;
  readonly clinic: { readonly name: string; readonly is_demo: boolean };
  readonly patient: {
    readonly name: string;
    readonly birth_date: string;
    readonly chart_number: string;
    readonly arm_notes: string;
    readonly isolation: string;
  };
  readonly access: {
    readonly title: string;
    readonly whose: string;
    readonly status: string;
    readonly created_on: string | null;
    readonly first_needled_on: string | null;
    readonly note: string;
  };
  readonly asked: {
    readonly question: string;
    readonly urgency: Urgency;
    readonly time_in_words: string;
    readonly by: string;
    readonly to: string;
  };
  readonly findings: readonly SummaryFinding[];
  readonly findings_left_out: number;
  readonly examination: {
    readonly at: string;
    readonly examiner: string;
    readonly odd: Readonly<Record<string, string>>;
    readonly normal: readonly string[];
  } | null;
  readonly newest: readonly {
    readonly name: string;
    readonly value: string;
    readonly on: string;
    readonly doubt: string;
  }[];
  readonly history: readonly HistoryRow[];
  readonly medicines: {
    readonly allergies: string;
    readonly needle_allergies: string;
    readonly medicines: string;
    readonly given: string;
  };
  readonly protocol: { readonly name: string; readonly version: string };
  readonly cautions: readonly string[];
}
