// The draft of a referral: how soon, and what is asked. Sending saves what was changed first.
import { useSignal } from "@preact/signals";
import { tables } from "../../../data/lookups";
import { useKept } from "../../kept";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { SaveState } from "../../parts/SaveState";
import { TextField } from "../../parts/TextField";
import type { StepProps } from "./NextStep";

const MOST = 400;
const URGENCIES = ["stat", "asap", "urgent", "routine"] as const;

export function DraftForm({ referral, take, busy, fields }: StepProps) {
  const { urgency, question, access } = referral;
  const form = useKept<{ urgency: string; question: string }>(`referral-${referral.id}`, { urgency, question });
  const found = useSignal("");
  const typed = form.texts.value;
  const isChanged = typed.urgency !== urgency || typed.question !== question;

  async function save(said: string): Promise<boolean> {
    found.value = typed.question.trim() ? "" : "Say what is asked.";
    if (found.value) return false;
    if (!isChanged) return true;
    const saved = await take("PUT", "", { access: access.id, to: referral.to_id, ...typed }, said);
    if (saved) form.done();
    return saved;
  }
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    if (await save("")) await take("POST", "/send", {}, "Sent.");
  }
  const time = tables.value?.urgency_in_words;
  return (
    <form class="small-form" onSubmit={send} noValidate aria-label="Draft of the referral">
      <ChoiceRow
        name="urgency"
        label="How soon"
        options={URGENCIES}
        value={typed.urgency}
        onValue={(word) => word && form.change({ urgency: word })}
        wordFor={(word) => `${word}: ${time?.[word] ?? ""}`}
        error={textFor(fields, "urgency")}
      />
      <TextField
        name="question"
        label="Question"
        type="lines"
        most={MOST}
        text={typed.question}
        onText={(text) => form.change({ question: text })}
        error={found.value || textFor(fields, "question")}
      />
      <p class="small soft">To {referral.to || "the nephrologists of this clinic"}.</p>
      {isChanged && <SaveState state={form.state.value} />}
      <div class="buttons">
        <button type="submit" class="main" disabled={busy}>
          Send the referral
        </button>
        <button type="button" disabled={busy || !isChanged} onClick={() => void save("The draft is saved.")}>
          Save the draft
        </button>
      </div>
    </form>
  );
}
