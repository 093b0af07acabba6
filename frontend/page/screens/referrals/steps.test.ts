import { expect, test } from "vitest";
import type { Referral, ReferralState } from "../../../data/review-shapes";
import { isOpen, stepsFor, wayOf } from "./steps";

const COORDINATOR = ["referral:read", "referral:change", "event:change"];
const NEPHROLOGIST = ["referral:read", "referral:decide", "event:change"];
const NURSE = ["referral:read"];
const steps = (state: ReferralState, acts: readonly string[]) => stepsFor(state, (act) => acts.includes(act));

test("a coordinator changes, sends and withdraws, and decides nothing", () => {
  expect(steps("draft", COORDINATOR)).toEqual(["change", "send", "withdraw"]);
  expect(steps("sent", COORDINATOR)).toEqual(["withdraw"]);
  expect(steps("acknowledged", COORDINATOR)).toEqual(["withdraw"]);
});

test("a nephrologist acknowledges and decides what was sent, and nothing of a draft", () => {
  expect(steps("draft", NEPHROLOGIST)).toEqual([]);
  expect(steps("sent", NEPHROLOGIST)).toEqual(["acknowledge", "decide"]);
  expect(steps("acknowledged", NEPHROLOGIST)).toEqual(["decide"]);
});

test("the result is recorded once it is decided, and what is closed takes no step", () => {
  expect(steps("decided", COORDINATOR)).toEqual(["outcome"]);
  expect(steps("decided", NEPHROLOGIST)).toEqual(["outcome"]);
  expect([steps("done", COORDINATOR), steps("withdrawn", NEPHROLOGIST)]).toEqual([[], []]);
});

test("who only reads has no step in any state", () => {
  const states: ReferralState[] = ["draft", "sent", "acknowledged", "decided", "done", "withdrawn"];
  expect(states.flatMap((state) => steps(state, NURSE))).toEqual([]);
  expect(states.filter((state) => isOpen({ state }))).toEqual(["draft", "sent", "acknowledged", "decided"]);
});

test("a withdrawn referral shows only the way it went", () => {
  const referral = {
    state: "withdrawn",
    created_at: "2026-11-20T09:00:00Z",
    created_by: "Dov",
    sent_at: null,
    sent_by: "",
    withdrawn_at: "2026-11-21T09:00:00Z",
    acknowledged_at: null,
    decided_at: null,
    done_at: null,
  } as unknown as Referral;
  expect(wayOf(referral).map(({ what }) => what)).toEqual(["Drafted", "Withdrawn"]);
});
