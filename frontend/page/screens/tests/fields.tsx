// The fields that both tests share, each tied to its place in the form and to what the server refused there.

import { useSignal } from "@preact/signals";
import { numberOf, remarkOn, tables } from "../../../data/lookups";
import { stateOf } from "../../../data/saving";
import type { AccessTitle } from "../../../data/shapes";
import { clinicDay } from "../../../data/time";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { ErrorSummary, textFor } from "../../parts/ErrorSummary";
import { NumberField } from "../../parts/NumberField";
import { SaveState } from "../../parts/SaveState";
import { TextField } from "../../parts/TextField";
import { TimeField } from "../../parts/TimeField";
import type { TestRecord } from "./record";

export interface FieldProps {
  readonly record: TestRecord;
  readonly name: string;
  readonly label: string;
  /** Where it stands in the document, if not at its own name. */
  readonly path?: string | undefined;
}

export function Amount({
  record,
  name,
  label,
  path = name,
  unit,
  bound,
}: FieldProps & { readonly unit: string; readonly bound?: string }) {
  const { texts } = record.form.value;
  return (
    <NumberField
      name={path}
      label={label}
      unit={unit}
      text={texts[name] ?? ""}
      onText={(text) => record.change({ texts: { ...texts, [name]: text } })}
      bound={tables.value?.bounds[bound ?? name]}
      error={textFor(record.refused.value?.fields, path)}
    />
  );
}

export function Moment({ record, name, label, path = name }: FieldProps) {
  const { moments, measured_at } = record.form.value;
  return (
    <TimeField
      name={path}
      label={label}
      value={moments[name]}
      day={clinicDay(measured_at)}
      onValue={(value) => record.change({ moments: { ...moments, [name]: value } })}
      error={textFor(record.refused.value?.fields, path)}
    />
  );
}

interface WordProps extends FieldProps {
  readonly vocabulary: string;
  readonly hint?: string | undefined;
}

export function Word({ record, name, label, path = name, vocabulary, hint }: WordProps) {
  const { words } = record.form.value;
  return (
    <ChoiceRow
      name={path}
      label={label}
      options={tables.value?.words[vocabulary] ?? []}
      value={words[name]}
      onValue={(value = "") => record.change({ words: { ...words, [name]: value } })}
      hint={hint}
      error={textFor(record.refused.value?.fields, path)}
    />
  );
}

export function Line({ record, name, label }: FieldProps) {
  const { words } = record.form.value;
  return (
    <TextField
      name={name}
      label={label}
      text={words[name] ?? ""}
      onText={(text) => record.change({ words: { ...words, [name]: text } })}
      error={textFor(record.refused.value?.fields, name)}
    />
  );
}

const UNITS = ["mg/dL", "mmol/L"];

/** The three urea samples, all in one unit. */
export function Samples({ record, before = "" }: { readonly record: TestRecord; readonly before?: string }) {
  const { words } = record.form.value;
  const unit = words["unit"] ?? "";
  const bound = unit === "mmol/L" ? "urea_mmol_l" : "urea_mg_dl";
  return (
    <>
      <ChoiceRow
        name={`${before}unit`}
        label="Unit of all three"
        options={UNITS}
        value={unit}
        onValue={(value) => value && record.change({ words: { ...words, unit: value } })}
      />
      <div class="numbers">
        <Amount
          record={record}
          name="systemic"
          path={`${before}systemic`}
          label="S, systemic"
          unit={unit}
          bound={bound}
        />
        <Amount
          record={record}
          name="arterial"
          path={`${before}arterial`}
          label="A, arterial line"
          unit={unit}
          bound={bound}
        />
        <Amount
          record={record}
          name="venous"
          path={`${before}venous`}
          label="V, venous line"
          unit={unit}
          bound={bound}
        />
      </div>
    </>
  );
}

export function WhichAccess({
  record,
  accesses,
}: {
  readonly record: TestRecord;
  readonly accesses: readonly AccessTitle[];
}) {
  if (accesses.length < 2) return null;
  return (
    <ChoiceRow
      name="access"
      label="Which access"
      options={accesses.map(({ id }) => id)}
      wordFor={(id) => accesses.find((one) => one.id === id)?.title ?? id}
      value={record.form.value.access}
      onValue={(access) => access && record.change({ access })}
    />
  );
}

export function MeasuredAt({ record }: { readonly record: TestRecord }) {
  const { measured_at } = record.form.value;
  return (
    <TimeField
      name="measured_at"
      label="Done at"
      value={measured_at}
      day={clinicDay(measured_at)}
      onValue={(value) => value && record.change({ measured_at: value })}
      error={textFor(record.refused.value?.fields, "measured_at")}
    />
  );
}

/** Sends the test; one that was stored before says why it changes. */
export function Send({ record, label }: { readonly record: TestRecord; readonly label: string }) {
  const reason = useSignal("values from the laboratory");
  const trouble = useSignal("");
  function send(): void {
    const { texts } = record.form.value;
    const refused = Object.entries(texts).some(
      ([name, text]) => Number.isNaN(numberOf(text)) || remarkOn(text, tables.value?.bounds[name])?.weight === "refuse",
    );
    trouble.value = refused ? "One number cannot be right: see its field." : "";
    if (!refused) void record.send(record.stored.value ? reason.value : "");
  }
  const refused = record.refused.value;
  return (
    <div class="save">
      {record.stored.value && (
        <label class="field">
          Why it is changed
          <input value={reason.value} onInput={(event) => (reason.value = event.currentTarget.value)} />
        </label>
      )}
      <button type="button" class="main" data-chain onClick={send}>
        {label}
      </button>
      {trouble.value && <p class="said refuse">{trouble.value}</p>}
      <SaveState state={stateOf(record.id).value} />
      {refused && <ErrorSummary words={refused.words} fields={refused.fields} />}
    </div>
  );
}
