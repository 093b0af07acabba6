// Watches what is seen and opens the stop panel when a row of the emergency table is met for the first time. What
// stays met stays in sight as a line, with whoever still has to be told.
import { useSignal } from "@preact/signals";
import type { EmergencyRow } from "../../../data/emergency";
import { clinic } from "../../../data/session";
import type { AccessPack, Examination } from "../../../data/shapes";
import { calendarDay } from "../../../data/time";
import { StopPanel, type Told } from "../../parts/StopPanel";
import { TextField } from "../../parts/TextField";
import { Urgency } from "../../parts/Urgency";
import type { Desk } from "./desk";
import { changeExamination, examinationOf, rowsMet } from "./findings";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack;
}

const NOT_TOLD: Told = { told: "", second_examiner: "", needling_reason: "", needling_physician: "" };

const toldOf = (examination: Examination | undefined): Told => examination ?? NOT_TOLD;

/** What stops the screen, kept in the sticky head for as long as it is seen. */
export function StopInSight({ desk, pack }: Props) {
  const first = rowsMet(desk, pack).find((row) => row.stop);
  if (!first) return null;
  return (
    <p>
      <Urgency urgency={first.urgency} time={first.keep_off || first.time_in_words} /> {first.title}
    </p>
  );
}

export function StopWatch({ desk, pack }: Props) {
  const rows = rowsMet(desk, pack);
  const told = toldOf(examinationOf(desk, pack.id));
  const stops = rows.filter((row) => row.stop);
  const seen = useSignal<readonly string[]>(told.told ? stops.map(({ id }) => id) : []);
  const fresh = stops.some(({ id }) => !seen.value.includes(id));
  const opened = useSignal(false);
  const { patient } = desk.page.value;

  function close(): void {
    seen.value = stops.map(({ id }) => id);
    opened.value = false;
  }

  return (
    <>
      {rows.length > 0 && (
        <section class="met" aria-label="Signs to act on">
          {rows.map((row) => (
            <Line key={row.id} row={row} onOpen={() => (opened.value = true)} />
          ))}
          {stops.some((row) => row.needs_who_was_told) && !told.told.trim() && (
            <p class="save-state needs-you">Needs you: who was told?</p>
          )}
          {rows.some((row) => row.second_examiner) && (
            <TextField
              name="examinations.0.second_examiner"
              label="Second examiner"
              text={told.second_examiner}
              onText={(second_examiner) => changeExamination(desk, pack.id, { second_examiner })}
            />
          )}
        </section>
      )}
      {stops.length > 0 && (fresh || opened.value) && (
        <StopPanel
          rows={stops}
          who={`${patient.name}, born ${calendarDay(patient.birth_date)}, ${pack.title}`}
          contacts={clinic.value?.emergency_contacts ?? []}
          told={told}
          onTold={(changed) => changeExamination(desk, pack.id, changed)}
          onClose={close}
        />
      )}
    </>
  );
}

function Line({ row, onOpen }: { readonly row: EmergencyRow; readonly onOpen: () => void }) {
  return (
    <div class="met-line">
      <p>
        <Urgency urgency={row.urgency} time={row.time_in_words} /> {row.title}
        {row.keep_off && <strong>: {row.keep_off}</strong>}
      </p>
      {row.stop ? (
        <button type="button" onClick={onOpen}>
          What to do
        </button>
      ) : (
        <ul>
          {row.first.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ul>
      )}
    </div>
  );
}
