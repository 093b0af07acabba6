// The panel that stops the screen at signs of an emergency: what was seen, what to do first, whom to call. It says
// plainly that the program has told nobody. Closing it loses nothing and recording goes on; needling goes on only with
// a reason and, where the table asks for it, the physician's name.
import { useEffect, useRef } from "preact/hooks";
import type { EmergencyRow } from "../../data/emergency";
import { TextField } from "./TextField";
import { Urgency } from "./Urgency";
import "../styles/stop.css";

export interface Told {
  readonly told: string;
  readonly second_examiner: string;
  readonly needling_reason: string;
  readonly needling_physician: string;
}

interface Props {
  readonly rows: readonly EmergencyRow[];
  readonly who: string;
  readonly contacts: readonly { readonly who: string; readonly number: string }[];
  readonly told: Told;
  readonly onTold: (changed: Partial<Told>) => void;
  readonly onClose: () => void;
}

export function StopPanel({ rows, who, contacts, told, onTold, onClose }: Props) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => dialog.current?.showModal(), []);
  return (
    <dialog ref={dialog} class="stop" aria-labelledby="stop-title" onClose={onClose}>
      <div class="stop-body">
        <p class="stop-who">{who}</p>
        <h2 id="stop-title">Stop</h2>
        {rows.map((row) => (
          <Row key={row.id} row={row} />
        ))}
        <p class="stop-nobody">
          <strong>Nobody has been told by this program.</strong> Call:
        </p>
        <Contacts contacts={contacts} />
        <form method="dialog" class="stop-form">
          <TextField name="stop.told" label="Who was told" text={told.told} onText={(text) => onTold({ told: text })} />
          {rows.some((row) => row.second_examiner) && (
            <TextField
              name="stop.second"
              label="Second examiner"
              text={told.second_examiner}
              onText={(text) => onTold({ second_examiner: text })}
            />
          )}
          <button type="submit" class="main">
            Go on recording
          </button>
          <p class="small soft">
            Who was told may be filled in later in this treatment; the record needs you until it is.
          </p>
          <AllTheSame rows={rows} told={told} onTold={onTold} />
        </form>
      </div>
    </dialog>
  );
}

function Row({ row }: { readonly row: EmergencyRow }) {
  return (
    <section class="stop-row">
      <h3>{row.title}</h3>
      <p>
        <Urgency urgency={row.urgency} time={row.time_in_words} />{" "}
      </p>
      {row.keep_off && <p class="stop-off">{row.keep_off}</p>}
      <ol>
        {row.first.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ol>
    </section>
  );
}

function Contacts({ contacts }: Pick<Props, "contacts">) {
  if (contacts.length === 0) return <p>No number is entered for this clinic. Use the local emergency call.</p>;
  return (
    <ul class="stop-contacts">
      {contacts.map(({ who, number }) => (
        <li key={who}>
          {who}{" "}
          <a class="button" href={`tel:${number.replaceAll(/[^\d+]/g, "")}`}>
            {number}
          </a>
        </li>
      ))}
    </ul>
  );
}

function AllTheSame({ rows, told, onTold }: Pick<Props, "rows" | "told" | "onTold">) {
  if (!rows.some((row) => row.needs_reason_to_needle)) return null;
  return (
    <details>
      <summary>Needles all the same</summary>
      <div class="stop-form">
        <TextField
          name="stop.reason"
          label="Reason"
          text={told.needling_reason}
          onText={(text) => onTold({ needling_reason: text })}
        />
        {rows.some((row) => row.needs_physician_to_needle) && (
          <TextField
            name="stop.physician"
            label="Physician who decided"
            text={told.needling_physician}
            onText={(text) => onTold({ needling_physician: text })}
          />
        )}
      </div>
    </details>
  );
}
