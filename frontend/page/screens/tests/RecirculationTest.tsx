// The three-sample recirculation test: the guided draw or the record of one, the samples when the laboratory has them,
// and the result with its interval, what was wrong with the method, and what to check first.
import { useSignal } from "@preact/signals";
import { shown } from "../../../data/lookups";
import type { AccessTitle } from "../../../data/shapes";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { Explain } from "../../parts/Explain";
import { Amount, MeasuredAt, Moment, Samples, Send, WhichAccess, Word } from "./fields";
import { GuidedDraw } from "./GuidedDraw";
import type { Result, TestRecord } from "./record";

interface Props {
  readonly record: TestRecord;
  readonly accesses: readonly AccessTitle[];
}

export function RecirculationTest({ record, accesses }: Props) {
  const guided = useSignal(false);
  const { form, result } = record;
  const slow = form.value.words["systemic_site"] !== "peripheral vein";
  if (guided.value)
    return (
      <GuidedDraw
        record={record}
        onEnd={() => {
          guided.value = false;
        }}
      />
    );
  return (
    <form class="part" noValidate onSubmit={(event) => event.preventDefault()} aria-label="Recirculation test">
      <h2 tabIndex={-1}>Recirculation test</h2>
      <button type="button" class="wide" onClick={() => (guided.value = true)}>
        Guide me through the draw
      </button>
      <WhichAccess record={record} accesses={accesses} />
      <Word
        record={record}
        name="systemic_site"
        label="Where S was drawn"
        vocabulary="systemic_sites"
        hint={slow ? undefined : "From a vein of the other arm the test reads recirculation where there is none."}
      />
      <div class="numbers">
        <MeasuredAt record={record} />
        <Amount record={record} name="pump_ml_min" label="Pump speed at A and V" unit="mL/min" />
        <Amount record={record} name="minutes_into_treatment" label="Into the treatment" unit="min" />
        <Moment record={record} name="arterial_venous_drawn_at" label="A and V drawn at" />
        <Moment record={record} name="systemic_drawn_at" label="S drawn at" />
        {slow && <Amount record={record} name="slow_flow_ml_min" label="Slow pump speed before S" unit="mL/min" />}
        {slow && <Amount record={record} name="slow_flow_seconds" label="Time at slow speed" unit="s" />}
      </div>
      <ChoiceRow
        name="ultrafiltration_off"
        label="Ultrafiltration"
        options={["off", "on"]}
        value={form.value.ultrafiltration_off === null ? undefined : form.value.ultrafiltration_off ? "off" : "on"}
        onValue={(word) => record.change({ ultrafiltration_off: word === undefined ? null : word === "off" })}
      />
      <Word record={record} name="lines" label="Lines as they were found" vocabulary="lines" />
      <h3>From the laboratory</h3>
      <Samples record={record} />
      <Send record={record} label="Save the test" />
      {result.value && <Found record={record} result={result.value} />}
    </form>
  );
}

const list = (value: unknown): readonly string[] => (Array.isArray(value) ? value.map(String) : []);
const textOf = (value: unknown): string => (typeof value === "string" ? value : "");
const numberIn = (value: unknown): number | null => (typeof value === "number" ? value : null);

/** A probability is never said to be certain. */
function percentOf(chance: number): string {
  if (chance > 0.99) return "over 99 %";
  return chance < 0.01 ? "under 1 %" : `${shown(Math.round(100 * chance))} %`;
}

function Found({ record, result }: { readonly record: TestRecord; readonly result: Result }) {
  const { texts, words } = record.form.value;
  const method = textOf(result["method"]);
  const chance = numberIn(result["probability_above_limit"]);
  const limit = numberIn(result["limit_percent"]);
  const unit = words["unit"] ?? "";
  const inputs = ["systemic", "arterial", "venous"].map((name) => ({ name, value: `${texts[name] ?? "–"} ${unit}` }));
  const doubt =
    chance === null || limit === null ? "" : `Above ${shown(limit)} % with a probability of ${percentOf(chance)}.`;
  return (
    <section class="found" role="status" aria-label="Result">
      {method && <p class="said ask">{method}</p>}
      {result["waiting"] === true && <p>{textOf(result["text"]) || "Waits for the laboratory."}</p>}
      {result["valid"] === true && result["waiting"] !== true && (
        <Explain
          label="Recirculation"
          value={textOf(result["text"])}
          worked={{
            inputs,
            formula: "100 × (S − A) / (S − V)",
            source: "Kapoian et al., Kidney Int 1997;52:839",
            doubt: `The interval is from the error of the assay. ${doubt}`,
          }}
        />
      )}
      {doubt && <p>{doubt}</p>}
      <Lines title="Check first" lines={list(result["check_first"])} />
      <Lines title="Remarks" lines={list(result["remarks"])} />
    </section>
  );
}

export function Lines({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <>
      <h3>{title}</h3>
      <ol class="plain-list">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ol>
    </>
  );
}
