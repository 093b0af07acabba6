// The evidence of the chosen access, and the decision under it. Escape leads back to the row.
import type { RefObject } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
import { dayOf } from "../../../data/days";
import type { DecisionOutcome, ReviewRow } from "../../../data/review-shapes";
import { may } from "../../../data/session";
import { calendarDay } from "../../../data/time";
import { decisionWords } from "../../parts/decision-words";
import { Evidence } from "../../parts/Evidence";
import { ServerFigure } from "../../parts/ServerFigure";
import { DecisionForm } from "./DecisionForm";
import type { FormHandle } from "./decision";
import { meaningOf } from "./keys";
import { MoreFigures } from "./MoreFigures";
import type { Work } from "./work";

export interface PanelHandle {
  readonly choose: (outcome: DecisionOutcome) => void;
  /** Saves a decision that is ready, else goes into the panel. */
  readonly enter: () => void;
}

interface Props {
  readonly handle: RefObject<PanelHandle | null>;
  readonly row: ReviewRow;
  readonly work: Work;
}

export function Panel({ handle, row, work }: Props) {
  const form = useRef<FormHandle>(null);
  const heading = useRef<HTMLHeadingElement>(null);
  // Ready before the next key can come.
  useLayoutEffect(() => {
    handle.current = {
      choose: (outcome) => form.current?.choose(outcome),
      enter: () => (form.current?.isReady() ? form.current.save() : heading.current?.focus()),
    };
    return () => {
      handle.current = null;
    };
  }, [handle]);
  const { patient, access } = row;
  return (
    <section
      class="review-panel"
      aria-labelledby="panel-title"
      onKeyDown={(event) => {
        if (meaningOf(event, "form")?.do === "leave") work.backToRow();
      }}
    >
      <header>
        <h2 id="panel-title" ref={heading} tabIndex={-1}>
          {patient.name}
        </h2>
        <p>
          born <strong>{calendarDay(patient.birth_date)}</strong>
          <span class="soft"> · chart {patient.chart_number} · </span>
          <a class="tap" href={`/accesses/${access.id}`}>
            {access.title}
          </a>
        </p>
      </header>
      <What row={row} />
      {may("decision:create") && <DecisionForm handle={form} row={row} work={work} />}
    </section>
  );
}

function What({ row }: { readonly row: ReviewRow }) {
  const { access, chart, flags, last_decision: last, referral } = row;
  return (
    <>
      {flags.map((flag) => (
        <Evidence key={flag.id} flag={flag} />
      ))}
      {chart && <ServerFigure {...chart} />}
      <MoreFigures access={access.id} />
      {last && (
        <p>
          <span class="soft">Decided {dayOf(last.at)}:</span> {decisionWords(last)}
        </p>
      )}
      {referral && (
        <p>
          <a class="tap" href={`/referrals/${referral.id}`}>
            Referral, {referral.state}
          </a>
        </p>
      )}
    </>
  );
}
