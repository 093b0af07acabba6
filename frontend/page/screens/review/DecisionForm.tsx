// One of four outcomes with a note. Enter saves from any field; after *refer* the draft is offered to be opened.
import type { RefObject } from "preact";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import type { DecisionOutcome, ReviewRow } from "../../../data/review-shapes";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { decisionWords } from "../../parts/decision-words";
import { ErrorSummary, textFor } from "../../parts/ErrorSummary";
import { SaveState } from "../../parts/SaveState";
import { TextField } from "../../parts/TextField";
import { roomy } from "../../width";
import { type Typed, usualDays } from "./decided";
import { type Deciding, type FormHandle, useDecision } from "./decision";
import { meaningOf, OUTCOMES } from "./keys";
import type { Work } from "./work";

interface Props {
  readonly handle: RefObject<FormHandle | null>;
  readonly row: ReviewRow;
  readonly work: Work;
}

export function DecisionForm({ handle, row, work }: Props) {
  const deciding = useDecision(row, work);
  const { form, edit, busy, problem, drafted, save } = deciding;
  const box = useRef<HTMLFormElement>(null);
  useLayoutEffect(() => {
    handle.current = {
      choose(outcome) {
        edit({ outcome });
        const wanted = outcome === "check again" ? "#f-check_again_on" : "#f-note";
        requestAnimationFrame(() => box.current?.querySelector<HTMLElement>(wanted)?.focus());
      },
      isReady: () => form.texts.value.outcome !== "",
      save: () => void save(),
    };
  });
  if (drafted.value) return <Drafted id={drafted.value} />;

  function send(event: Event): void {
    event.preventDefault();
    void save();
  }
  return (
    <form
      ref={box}
      class="decision"
      noValidate
      aria-label={`Decision about ${row.patient.name}`}
      onSubmit={send}
      onKeyDown={(event) => {
        if (event.target instanceof HTMLButtonElement) return;
        if (meaningOf(event, "form")?.do === "save") send(event);
      }}
    >
      {problem.value && <ErrorSummary words={wordsOf(problem.value.words, row)} fields={problem.value.fields} />}
      <Fields {...deciding} />
      <div class="decision-end">
        <Note {...deciding} />
        <button type="submit" class="main" disabled={busy.value}>
          Save the decision
        </button>
      </div>
      <SaveState state={form.state.value} />
    </form>
  );
}

function Fields({ form, edit, found, problem, today }: Deciding) {
  const { outcome, check_again_on } = form.texts.value;
  const wrong = [...(found.value ? [found.value] : []), ...(problem.value?.fields ?? [])];
  return (
    <>
      <ChoiceRow
        name="outcome"
        label="Decision"
        options={OUTCOMES}
        value={outcome || undefined}
        onValue={(chosen) => edit({ outcome: (chosen ?? "") as Typed["outcome"] })}
        wordFor={(word) => (roomy.value ? `${OUTCOMES.indexOf(word as DecisionOutcome) + 1} · ${word}` : word)}
        error={textFor(wrong, "outcome")}
      />
      {outcome === "check again" && (
        <TextField
          name="check_again_on"
          label="Check again by"
          type="date"
          text={check_again_on}
          onText={(day) => edit({ check_again_on: day })}
          min={today}
          error={textFor(wrong, "check_again_on")}
        >
          <div class="buttons">
            {usualDays(today).map(([words, day]) => (
              <button key={day} type="button" onClick={() => edit({ check_again_on: day })}>
                {words}
              </button>
            ))}
          </div>
        </TextField>
      )}
    </>
  );
}

function Note({ form, edit, problem }: Deciding) {
  return (
    <TextField
      name="note"
      label="Note"
      type="lines"
      rows={1}
      most={400}
      text={form.texts.value.note}
      onText={(note) => edit({ note })}
      error={textFor(problem.value?.fields, "note")}
    />
  );
}

function wordsOf(words: string, { last_decision: last }: ReviewRow): string {
  return words.startsWith("Somebody else") && last
    ? `Decided in the meantime: ${decisionWords(last)}. Save again if yours stands all the same.`
    : words;
}

function Drafted({ id }: { readonly id: string }) {
  const link = useRef<HTMLAnchorElement>(null);
  useEffect(() => link.current?.focus(), []);
  return (
    <div class="decision drafted">
      <p>A draft of the referral is ready.</p>
      <a ref={link} class="button main" href={`/referrals/${id}`}>
        Open the draft referral
      </a>
    </div>
  );
}
