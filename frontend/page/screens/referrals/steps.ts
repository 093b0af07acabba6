// Which step may be taken on a referral, by its state and by what the person may do. The server decides; this only
// keeps buttons out of sight that it would refuse.
import type { Referral, ReferralRow, ReferralState } from "../../../data/review-shapes";

export type Step = "change" | "send" | "acknowledge" | "decide" | "outcome" | "withdraw";

const STEPS: readonly (readonly [step: Step, act: string, states: readonly ReferralState[]])[] = [
  ["change", "referral:change", ["draft"]],
  ["send", "referral:change", ["draft"]],
  ["acknowledge", "referral:decide", ["sent"]],
  ["decide", "referral:decide", ["sent", "acknowledged"]],
  ["outcome", "event:change", ["decided"]],
  ["withdraw", "referral:change", ["draft", "sent", "acknowledged"]],
];

export function stepsFor(state: string, may: (act: string) => boolean): readonly Step[] {
  return STEPS.filter(([, act, states]) => states.some((one) => one === state) && may(act)).map(([step]) => step);
}

const WAITS_FOR: Readonly<Record<string, string> & Record<ReferralState, string>> = {
  draft: "draft, not yet sent",
  sent: "sent, waits to be acknowledged",
  acknowledged: "acknowledged, waits for a decision",
  decided: "decided, waits for the result",
  done: "done",
  withdrawn: "withdrawn",
};

export const waitsFor = (state: string): string => WAITS_FOR[state] ?? state;

export function isOpen({ state }: Pick<ReferralRow, "state">): boolean {
  return state !== "done" && state !== "withdrawn";
}

export interface Mark {
  readonly what: string;
  readonly at: string | null;
  readonly by: string;
}

/** The way that a referral went, in order; what is still to come has no time. */
export function wayOf(referral: Referral): Mark[] {
  const went: Mark[] = [
    { what: "Drafted", at: referral.created_at, by: referral.created_by },
    { what: "Sent", at: referral.sent_at, by: referral.sent_by },
    { what: "Acknowledged", at: referral.acknowledged_at, by: referral.acknowledged_by },
    { what: "Decided", at: referral.decided_at, by: referral.decided_by },
    { what: "Done", at: referral.done_at, by: "" },
  ];
  if (referral.state !== "withdrawn") return went;
  return [...went.filter(({ at }) => at !== null), { what: "Withdrawn", at: referral.withdrawn_at, by: "" }];
}
