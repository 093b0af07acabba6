// One puncture as recorded: where, with what, when, and what came of it; the rest one tap away.
import { tables } from "../../../data/lookups";
import type { Needle } from "../../../data/shapes";
import { clock } from "../../../data/time";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { TextField } from "../../parts/TextField";
import type { Desk } from "./desk";
import { LETTER, nameOf, STEP_CM } from "./sites";

interface Props {
  readonly desk: Desk;
  readonly needle: Needle;
}

const PAIN = Array.from({ length: 11 }, (_, step) => String(step));

function changeNeedle({ desk, needle }: Props, changed: Partial<Needle>): void {
  const others = (desk.typed.value.needles ?? []).filter(({ id }) => id !== needle.id);
  desk.change({ needles: [...others, { ...needle, ...changed }] });
}

export function NeedleRow({ desk, needle }: Props) {
  const { role, gauge, in_at, outcome, direction, technique, along_cm, spacing_reason } = needle;
  const index = desk.document.value.needles.findIndex(({ id }) => id === needle.id);
  const error = textFor(desk.refused.value?.fields, `needles.${index}.along_cm`);
  const said = [gauge && `${gauge}G`, direction, technique, in_at && `in ${clock(in_at)}`, outcome].filter(Boolean);
  return (
    <li class={`needle ${role}`} id={`f-needles.${index}.along_cm`}>
      <p>
        <span class="site-letter">{LETTER[role]}</span>{" "}
        <strong>{along_cm === null ? "place not recorded" : `${along_cm} cm`}</strong>{" "}
        <span class="small">{said.join(", ")}</span>
      </p>
      {spacing_reason && <p class="small soft">Reason for this place: {spacing_reason}</p>}
      {error && <p class="said refuse">{error}</p>}
      <details>
        <summary>What came of {nameOf(needle)}</summary>
        <Outcome desk={desk} needle={needle} />
      </details>
    </li>
  );
}

function Outcome({ desk, needle }: Props) {
  const words = tables.value?.words ?? {};
  const change = (changed: Partial<Needle>) => changeNeedle({ desk, needle }, changed);
  const name = (field: string) => `needle.${needle.id}.${field}`;
  return (
    <div class="fields">
      <p class="choice-row">
        {[-STEP_CM, STEP_CM].map((step) => (
          <button
            key={step}
            type="button"
            class="step"
            aria-label={`${step > 0 ? "+" : "−"}0.5 cm: correct the place of ${LETTER[needle.role]}`}
            onClick={() => change({ along_cm: Math.max(0, (needle.along_cm ?? 0) + step), skin: "" })}
          >
            {step > 0 ? "+0.5 cm" : "−0.5 cm"}
          </button>
        ))}
      </p>
      <ChoiceRow
        name={name("skin")}
        label="Skin at this place"
        options={tables.value?.findings["skin"] ?? []}
        fold
        value={needle.skin || undefined}
        onValue={(skin = "") => change({ skin })}
      />
      <ChoiceRow
        name={name("outcome")}
        label="Outcome"
        options={words["outcomes"] ?? []}
        value={needle.outcome}
        onValue={(outcome) => outcome && change({ outcome })}
      />
      {needle.outcome === "replaced" && (
        <TextField
          name={name("replaced_because")}
          label="Replaced because"
          text={needle.replaced_because}
          onText={(text) => change({ replaced_because: text })}
        />
      )}
      {needle.outcome !== "in use to the end" && (
        <>
          <TextField
            name={name("extent")}
            label="How far the swelling reached"
            text={needle.extent}
            onText={(text) => change({ extent: text })}
          />
          <TextField
            name={name("action_taken")}
            label="What was done"
            text={needle.action_taken}
            onText={(text) => change({ action_taken: text })}
          />
        </>
      )}
      <ChoiceRow
        name={name("pain")}
        label="Pain, 0 none to 10 worst"
        options={PAIN}
        value={needle.pain === null ? undefined : String(needle.pain)}
        onValue={(pain) => change({ pain: pain === undefined ? null : Number(pain) })}
      />
      <ChoiceRow
        name={name("needled_by")}
        label="Who needled"
        options={words["needled_by"] ?? []}
        value={needle.needled_by}
        onValue={(needled_by) => needled_by && change({ needled_by })}
      />
      <TextField
        name={name("needled_by_name")}
        label="Name of who needled"
        text={needle.needled_by_name}
        onText={(text) => change({ needled_by_name: text })}
      />
      {needle.needled_by === "trainee with supervisor" && (
        <TextField
          name={name("supervisor_name")}
          label="Supervisor"
          text={needle.supervisor_name}
          onText={(text) => change({ supervisor_name: text })}
        />
      )}
    </div>
  );
}
