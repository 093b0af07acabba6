// Look, listen, feel. Thrill and bruit take their own tap every time; the rest can be found normal together; a sign
// seen last time is asked again.
import { tables } from "../../../data/lookups";
import type { AccessPack } from "../../../data/shapes";
import { calendarDay } from "../../../data/time";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { TextField } from "../../parts/TextField";
import type { Desk } from "./desk";
import {
  answer,
  changeExamination,
  examinationOf,
  fieldsBefore,
  fillRest,
  labelOf,
  restOf,
  shortLabelOf,
} from "./findings";
import { Part, SavePart } from "./Part";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack;
}

export function ExaminationPart({ desk, pack }: Props) {
  const words = tables.value;
  if (!words) return null;
  const examination = examinationOf(desk, pack.id);
  const together = examination?.filled_together ?? [];
  const asked = fieldsBefore(words).filter((field) => !together.includes(field));
  const own = asked.filter((field) => words.never_filled_together.includes(field));
  const others = asked.filter((field) => !own.includes(field));
  const rest = restOf(words, pack, examination);
  return (
    <Part id="examination" number={1} title="Look, listen, feel">
      {own.map((field) => (
        <Field key={field} desk={desk} pack={pack} field={field} />
      ))}
      {rest.length > 0 && (
        <button type="button" class="wide" onClick={() => fillRest(desk, pack, words)}>
          The rest found normal <span class="soft">({rest.length})</span>
        </button>
      )}
      {together.length > 0 && (
        <section class="together" aria-label="Found normal, filled together">
          <p class="small soft">Found normal, filled together. Tap one to answer it by itself.</p>
          <ul class="together-list">
            {together.map((field) => (
              <li key={field}>
                <button type="button" onClick={() => answer(desk, pack.id, field, undefined)}>
                  {shortLabelOf(field)}: {examination?.findings[field]}
                </button>
              </li>
            ))}
          </ul>
        </section>
      )}
      <div class="fields">
        {others.map((field) => (
          <Field key={field} desk={desk} pack={pack} field={field} />
        ))}
      </div>
      <TextField
        name="examinations.0.note"
        label="Note"
        type="lines"
        text={examination?.note ?? ""}
        onText={(note) => changeExamination(desk, pack.id, { note })}
      />
      <SavePart desk={desk} parts={["examination"]} label="Save the examination" obstacle={obstacleFor(desk, pack)} />
    </Part>
  );
}

function obstacleFor(desk: Desk, pack: AccessPack): string {
  const { findings } = examinationOf(desk, pack.id) ?? { findings: {} };
  return Object.keys(findings).length === 0 ? "Nothing has been examined yet." : "";
}

export function Field({ desk, pack, field }: Props & { readonly field: string }) {
  const options = tables.value?.findings[field] ?? [];
  const last = pack.last_signs[field];
  const seen =
    last && pack.last_signs_on ? `Seen on ${calendarDay(pack.last_signs_on)}: ${last}. Still there?` : undefined;
  return (
    <ChoiceRow
      name={`examinations.0.findings.${field}`}
      label={labelOf(field)}
      options={options}
      value={examinationOf(desk, pack.id)?.findings[field]}
      onValue={(word) => answer(desk, pack.id, field, word)}
      hint={seen}
      error={textFor(desk.refused.value?.fields, `examinations.0.findings.${field}`)}
    />
  );
}
