// Access flow by each method: only the inputs of the method that was used, or the value as the device showed it. With
// lines reversed the record ends with who put them back the right way, and when.
import { tables } from "../../../data/lookups";
import type { AccessTitle } from "../../../data/shapes";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { Explain } from "../../parts/Explain";
import { Amount, Line, MeasuredAt, Moment, Samples, Send, WhichAccess, Word } from "./fields";
import { Lines } from "./RecirculationTest";
import type { Result, TestRecord } from "./record";

interface Input {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  readonly bound?: string;
}

const AS_SHOWN: Input = { name: "ml_min", label: "Flow as the device showed it", unit: "mL/min", bound: "flow_ml_min" };
const PUMP: Input = { name: "pump_ml_min", label: "Pump speed", unit: "mL/min" };
const FRACTION: Input = {
  name: "recirculation_fraction",
  label: "Recirculation, lines reversed",
  unit: "fraction, 0.30 for 30 %",
};

interface Method {
  readonly inputs: readonly Input[];
  readonly formula: string;
  readonly source: string;
  readonly reversed: boolean;
}

const METHODS: Readonly<Record<string, Method>> = {
  "ultrasound dilution": {
    inputs: [AS_SHOWN, PUMP, FRACTION],
    formula: "pump speed × (1 / R − 1), R with the lines reversed",
    source: "Krivitski, Kidney Int 1995;48:244",
    reversed: true,
  },
  "urea, lines reversed": {
    inputs: [PUMP],
    formula: "pump speed × (1 / R − 1), R from three samples",
    source: "principle: Krivitski, Kidney Int 1995;48:244",
    reversed: true,
  },
  infusion: {
    inputs: [
      AS_SHOWN,
      PUMP,
      { name: "ultrafiltration_ml_min", label: "Ultrafiltration rate", unit: "mL/min" },
      { ...FRACTION, label: "Recirculation read" },
      { name: "cardiopulmonary_fraction", label: "Cardiopulmonary recirculation", unit: "fraction" },
    ],
    formula: "(1 − R) / (R × (1 − C)) × (pump speed − ultrafiltration rate)",
    source: "published for the infusion method",
    reversed: false,
  },
  dialysance: {
    inputs: [
      { name: "normal_ml_min", label: "Dialysance, lines right", unit: "mL/min", bound: "dialysance_ml_min" },
      { name: "reversed_ml_min", label: "Dialysance, lines reversed", unit: "mL/min", bound: "dialysance_ml_min" },
      { name: "hematocrit_fraction", label: "Hematocrit", unit: "fraction, 0.33 for 33 %" },
    ],
    formula: "normal × reversed / (normal − reversed): flow of blood water",
    source: "theory: Mercadal, Kidney Int 1999;56:1560",
    reversed: true,
  },
  duplex: {
    inputs: [
      AS_SHOWN,
      { name: "diameter_cm", label: "Diameter", unit: "cm" },
      { name: "velocity_cm_s", label: "Mean velocity over time", unit: "cm/s" },
    ],
    formula: "mean velocity × π × (diameter / 2)² × 60",
    source: "geometry of the vessel",
    reversed: false,
  },
  thermodilution: { inputs: [AS_SHOWN], formula: "as the device worked it out", source: "the device", reversed: false },
};

interface Props {
  readonly record: TestRecord;
  readonly accesses: readonly AccessTitle[];
}

export function FlowTest({ record, accesses }: Props) {
  const { words } = record.form.value;
  const method = METHODS[words["method"] ?? ""];
  return (
    <form class="part" noValidate onSubmit={(event) => event.preventDefault()} aria-label="Access flow">
      <h2 tabIndex={-1}>Access flow</h2>
      <WhichAccess record={record} accesses={accesses} />
      <Word record={record} name="method" label="Method" vocabulary="flow_methods" />
      {method && (
        <>
          <div class="numbers">
            <MeasuredAt record={record} />
            {method.inputs.map((input) => (
              <Amount key={input.name} record={record} {...input} path={`inputs.${input.name}`} />
            ))}
          </div>
          {words["method"] === "urea, lines reversed" && <ReversedUrea record={record} />}
          <Around record={record} reversed={method.reversed} />
          <Send record={record} label="Save the flow" />
        </>
      )}
      {record.result.value && method && <Found result={record.result.value} method={method} />}
    </form>
  );
}

function ReversedUrea({ record }: { readonly record: TestRecord }) {
  return (
    <>
      <p class="soft">
        S by slow flow with the lines right, just before they are reversed; A and V after 5 minutes with the lines
        reversed.
      </p>
      <Word
        record={record}
        name="systemic_lines"
        path="inputs.systemic_lines"
        label="Lines when S was drawn"
        vocabulary="lines"
      />
      <div class="numbers">
        <Moment record={record} name="systemic_drawn_at" path="inputs.systemic_drawn_at" label="S drawn at" />
        <Moment record={record} name="reversed_at" path="inputs.reversed_at" label="Lines reversed at" />
        <Moment
          record={record}
          name="arterial_venous_drawn_at"
          path="inputs.arterial_venous_drawn_at"
          label="A and V drawn at"
        />
      </div>
      <Samples record={record} before="inputs." />
    </>
  );
}

function Around({ record, reversed }: { readonly record: TestRecord; readonly reversed: boolean }) {
  const { words } = record.form.value;
  return (
    <>
      <div class="numbers">
        <Amount record={record} name="systolic_mmhg" label="Blood pressure, upper" unit="mmHg" />
        <Amount record={record} name="diastolic_mmhg" label="Blood pressure, lower" unit="mmHg" />
      </div>
      <Word
        record={record}
        name="arterial_direction"
        label="Direction of the arterial needle"
        vocabulary="directions"
      />
      <Line record={record} name="operator" label="Who measured" />
      <ChoiceRow
        name="lines"
        label="Lines during the measurement"
        options={tables.value?.words["lines"] ?? []}
        value={words["lines"]}
        onValue={(lines = "") => record.change({ words: { ...words, lines } })}
        error={textFor(record.refused.value?.fields, "lines")}
      />
      {(reversed || words["lines"] === "reversed") && (
        <fieldset class="put-back">
          <legend>Lines put back the right way</legend>
          <div class="numbers">
            <Line record={record} name="lines_put_back_by" label="By whom" />
            <Moment record={record} name="lines_put_back_at" label="When" />
          </div>
        </fieldset>
      )}
    </>
  );
}

function Found({ result, method }: { readonly result: Result; readonly method: Method }) {
  const remarks = Array.isArray(result["remarks"]) ? result["remarks"].map(String) : [];
  const known = result["doubt_known"] === true;
  const doubt = known
    ? "The interval says what the flow is on a usual day (90 %)."
    : "Doubt not known for this method.";
  return (
    <section class="found" role="status" aria-label="Result">
      <Explain
        label="Access flow"
        value={String(result["text"] ?? "")}
        worked={{ formula: method.formula, source: method.source, doubt }}
      />
      <Lines title="Remarks" lines={remarks} />
    </section>
  );
}
