// The steps that may be taken on a referral now, by its state and the person's role. A step that the server refuses is
// told in its words, and the sheet is read again, since somebody else may have taken one.
import { useSignal } from "@preact/signals";
import type { Referral } from "../../../data/review-shapes";
import { may } from "../../../data/session";
import { ErrorSummary, textFor } from "../../parts/ErrorSummary";
import { ReasonForm } from "../../parts/ReasonForm";
import { Section } from "../../parts/Section";
import { useSending } from "../../sending";
import { DraftForm } from "./DraftForm";
import { Leftover } from "./Leftover";
import { OutcomeForm } from "./OutcomeForm";
import type { SheetProps } from "./ReferralSheet";
import { type Step, stepsFor, waitsFor } from "./steps";

// Under which name the typing of a step is kept on the device.
const KEPT = [
  ["change", "referral"],
  ["decide", "decide"],
  ["outcome", "outcome"],
  ["withdraw", "withdraw"],
] as const;

/** Takes one step; true when it was taken. */
export type Take = (method: "POST" | "PUT", path: string, body: unknown, said: string) => Promise<boolean>;

export interface StepProps {
  readonly referral: Referral;
  readonly take: Take;
  readonly busy: boolean;
  readonly fields: readonly { readonly field: string; readonly text: string }[];
}

export function NextStep({ referral, changed, again }: SheetProps) {
  const { busy, problem, step } = useSending();
  const said = useSignal("");
  async function take(method: "POST" | "PUT", path: string, body: unknown, words: string): Promise<boolean> {
    said.value = "";
    const answer = await step<Referral>(method, `referrals/${referral.id}${path}`, body);
    if (answer) {
      said.value = words;
      changed(answer);
      document.getElementById("next-title")?.focus();
    } else if (problem.value?.fields.some(({ field }) => field === "state")) await again();
    return answer !== null;
  }
  const fields = problem.value?.fields ?? [];
  const steps = stepsFor(referral.state, may);
  return (
    <Section id="next" title="Next step" class="screen-only">
      <p role="status" class={said.value ? "done-note" : "spoken"}>
        {said.value}
      </p>
      {problem.value && <ErrorSummary words={problem.value.words} fields={fields.length > 1 ? fields : []} />}
      <p class="stands soft">{waitsFor(referral.state)}</p>
      <Forms steps={steps} referral={referral} take={take} busy={busy.value} fields={fields} />
      {KEPT.filter(([step]) => !steps.includes(step)).map(([step, name]) => (
        <Leftover key={step} id={`${name}-${referral.id}`} />
      ))}
      <p>
        <a class="button" href={`/api/v1/referrals/${referral.id}/document`} target="_blank" rel="noreferrer">
          Open as PDF, one sheet
        </a>
      </p>
    </Section>
  );
}

function Forms({ steps, ...props }: StepProps & { readonly steps: readonly Step[] }) {
  const { referral, take, busy, fields } = props;
  return (
    <>
      {steps.includes("change") && <DraftForm key={referral.urgency + referral.question} {...props} />}
      {steps.includes("acknowledge") && (
        <div>
          <button
            type="button"
            class="main"
            disabled={busy}
            onClick={() => void take("POST", "/acknowledge", {}, "Acknowledged.")}
          >
            Acknowledge
          </button>
        </div>
      )}
      {steps.includes("decide") && (
        <ReasonForm
          id={`decide-${referral.id}`}
          name="decision"
          label="Decision: what is to be done"
          ask="Say what is to be done."
          most={600}
          button="Save the decision"
          busy={busy}
          error={textFor(fields, "decision")}
          onSend={(decision) => take("POST", "/decide", { decision }, "The decision is saved.")}
        />
      )}
      {steps.includes("outcome") && <OutcomeForm {...props} />}
      {steps.includes("withdraw") && (
        <details>
          <summary>Withdraw this referral</summary>
          <ReasonForm
            id={`withdraw-${referral.id}`}
            name="why"
            label="Why it is withdrawn"
            ask="Say why it is withdrawn."
            most={400}
            button="Withdraw"
            busy={busy}
            error={textFor(fields, "why")}
            onSend={(why) => take("POST", "/withdraw", { why }, "Withdrawn.")}
          />
        </details>
      )}
    </>
  );
}
