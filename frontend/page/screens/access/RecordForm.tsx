// One form for an event, a stretch or a hold: kept on the device while it is typed, sent with its own save, and shown
// again with the server's words where it was refused. It starts empty.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { takeBack } from "../../../data/drafts";
import { tables } from "../../../data/lookups";
import type { Problem } from "../../../data/problem";
import type { AccessPage } from "../../../data/review-shapes";
import { keepTyped, save } from "../../../data/saving";
import { session } from "../../../data/session";
import { clinicDay } from "../../../data/time";
import { uuid7 } from "../../../data/uuid7";
import { useKept } from "../../kept";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { ErrorSummary, textFor } from "../../parts/ErrorSummary";
import { SaveState } from "../../parts/SaveState";
import { TextField } from "../../parts/TextField";
import { documentOf, type Field, KINDS, type Kind, type Obstacle, obstacles, type Texts } from "./record";

interface Props {
  readonly kind: Kind;
  readonly page: AccessPage;
  /** Leaves the form; with words when something was saved. */
  readonly onLeave: (words: string) => void;
}

export function RecordForm({ kind, page, onLeave }: Props) {
  const { title, save: label, fields } = KINDS[kind];
  const form = useKept<Texts>(`${kind}-of-${page.access.id}`, {});
  const found = useSignal<readonly Obstacle[]>([]);
  const problem = useSignal<Problem | null>(null);
  const busy = useSignal(false);
  const box = useRef<HTMLFormElement>(null);
  const texts = form.texts.value;
  const wrong = problem.value?.fields ?? found.value;
  useEffect(() => box.current?.querySelector<HTMLElement>("input, textarea")?.focus(), []);

  async function submit(event: Event): Promise<void> {
    event.preventDefault();
    problem.value = null;
    found.value = obstacles(kind, texts, clinicDay(new Date()));
    if (found.value.length > 0 || busy.value) return;
    busy.value = true;
    const whose = { patient: page.patient.id, access: page.access.id, now: new Date().toISOString() };
    const refused = await send(kind, idOf(texts), documentOf(kind, texts, whose));
    busy.value = false;
    problem.value = refused;
    if (refused) return;
    form.done();
    onLeave(`${title}: saved.`);
  }

  return (
    <form ref={box} class="small-form" onSubmit={submit} noValidate aria-label={title}>
      <h3>{title}</h3>
      {problem.value ? (
        <ErrorSummary words={problem.value.words} fields={wrong} />
      ) : (
        found.value.length > 0 && <ErrorSummary words="Not yet sent." fields={wrong} />
      )}
      {fields.map((field) => (
        <OneField
          key={field.name}
          field={field}
          text={texts[field.name] ?? ""}
          onText={(text) => form.change({ id: idOf(texts), [field.name]: text })}
          error={textFor(wrong, field.name)}
        />
      ))}
      <SaveState state={form.state.value} />
      <div class="buttons">
        <button type="submit" class="main" disabled={busy.value}>
          {label}
        </button>
        <button type="button" onClick={() => onLeave("")}>
          Leave for now
        </button>
      </div>
    </form>
  );
}

/** The record's id is made when its typing starts, so that sending it again never makes a second one. */
function idOf(texts: Texts): string {
  return texts["id"] ?? uuid7();
}

async function send(kind: Kind, id: string, document: Readonly<Record<string, unknown>>): Promise<Problem | null> {
  const author = session.value?.user?.id ?? "";
  await keepTyped(id, { document }, { kind, author, base: { version: "new", document: null } });
  const outcome = await save(id, ["document"]);
  if (outcome.kind === "sent" || outcome.kind === "waiting") return null;
  await takeBack(id, ["document"]);
  return outcome.problem;
}

interface FieldProps {
  readonly field: Field;
  readonly text: string;
  readonly onText: (text: string) => void;
  readonly error: string | undefined;
}

function OneField({ field, text, onText, error }: FieldProps) {
  const { name, label, type, of = "", most, ahead } = field;
  if (type === "word") {
    const options = tables.value?.words[of] ?? [];
    const value = text || undefined;
    return (
      <ChoiceRow
        name={name}
        label={label}
        options={options}
        value={value}
        onValue={(word = "") => onText(word)}
        error={error}
      />
    );
  }
  const shape = ({ day: "date", number: "decimal", text: "text" } as const)[type];
  const max = type === "day" && !ahead ? clinicDay(new Date()) : undefined;
  return (
    <TextField
      name={name}
      label={label}
      unit={type === "number" ? of : undefined}
      type={shape}
      text={text}
      onText={onText}
      most={most}
      max={max}
      error={error}
    />
  );
}
