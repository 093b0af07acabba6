// The result: what was done, on which day, where, how narrow it was, what came of it, and whether that answers the
// flags. Nothing is chosen beforehand.
import { useSignal } from "@preact/signals";
import { tables } from "../../../data/lookups";
import { clinicDay } from "../../../data/time";
import { useKept } from "../../kept";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { SaveState } from "../../parts/SaveState";
import { TextField } from "../../parts/TextField";
import type { StepProps } from "./NextStep";
import {
  bodyOf,
  FLAGS,
  hasPlace,
  NOTHING_TYPED,
  type Obstacle,
  obstacles,
  procedures,
  type TypedOutcome,
} from "./outcome";

export function OutcomeForm({ referral, take, busy, fields }: StepProps) {
  const form = useKept<TypedOutcome>(`outcome-${referral.id}`, NOTHING_TYPED);
  const found = useSignal<readonly Obstacle[]>([]);
  async function submit(event: Event): Promise<void> {
    event.preventDefault();
    found.value = obstacles(form.texts.value, clinicDay(new Date()));
    if (found.value.length > 0) return;
    if (await take("POST", "/outcome", bodyOf(form.texts.value), "The result is recorded.")) form.done();
  }
  const wrong = [...found.value, ...fields];
  return (
    <form class="small-form" onSubmit={submit} noValidate aria-label="Result">
      <h3>Result</h3>
      <Fields typed={form.texts.value} change={form.change} wrong={wrong} />
      <SaveState state={form.state.value} />
      <div class="buttons">
        <button type="submit" class="main" disabled={busy}>
          Record the result
        </button>
      </div>
      {found.value.length > 0 && (
        <p class="said refuse" role="alert">
          Not yet sent. {found.value.map(({ text }) => text).join(" ")}
        </p>
      )}
    </form>
  );
}

interface FieldsProps {
  readonly typed: TypedOutcome;
  readonly change: (changed: Partial<TypedOutcome>) => void;
  readonly wrong: readonly Obstacle[];
}

function Fields({ typed, change, wrong }: FieldsProps) {
  const today = clinicDay(new Date());
  const shared = (name: keyof TypedOutcome & string) => ({
    name,
    text: typed[name] ?? "",
    onText: (text: string) => change({ [name]: text }),
    error: textFor(wrong, name),
  });
  return (
    <>
      <ChoiceRow
        name="what"
        label="What was done"
        options={procedures(tables.value?.words["events"] ?? [])}
        value={typed.what || undefined}
        onValue={(what = "") => change({ what })}
        error={textFor(wrong, "what")}
      />
      <TextField {...shared("on")} label="On" type="date" max={today} />
      {hasPlace(typed) && (
        <>
          <TextField {...shared("where_words")} label="Where, in words" most={80} />
          <TextField {...shared("where_cm")} label="Where, from the anastomosis" type="decimal" unit="cm" />
          <TextField {...shared("degree_percent")} label="Narrowed by" type="decimal" unit="%" />
        </>
      )}
      <TextField {...shared("outcome")} label="What came of it" type="lines" most={400} />
      <ChoiceRow
        name="close_flags"
        label="The flags that led here"
        options={FLAGS}
        value={typed.flags || undefined}
        onValue={(flags = "") => change({ flags })}
        error={textFor(wrong, "close_flags")}
      />
    </>
  );
}
