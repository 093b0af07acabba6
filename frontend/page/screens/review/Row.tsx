// One access of the list: how soon, who, which access, why in one sentence, a small chart, how long, what was decided.
import type { ComponentChildren } from "preact";
import type { ReviewRow } from "../../../data/review-shapes";
import { calendarDay } from "../../../data/time";
import { Drawing } from "../../parts/Drawing";
import { Urgency } from "../../parts/Urgency";
import { decidedIn } from "./decided";
import { lastLine } from "./said";
import { idOf } from "./work";

interface Props {
  readonly row: ReviewRow;
  readonly week: string;
  readonly isChosen: boolean;
  readonly inTabOrder: boolean;
  readonly onChoose: () => void;
  /** The evidence, where it stands below the row. */
  readonly children?: ComponentChildren;
}

export function Row({ row, week, isChosen, inTabOrder, onChoose, children }: Props) {
  const { patient, access, chart } = row;
  const decided = decidedIn(week, row);
  return (
    <li class={`review-row ${isChosen ? "chosen" : ""} ${decided ? "decided" : ""}`}>
      <button
        id={idOf(row)}
        type="button"
        class="review-row-button"
        tabIndex={inTabOrder ? 0 : -1}
        aria-current={isChosen ? "true" : undefined}
        onClick={onChoose}
      >
        <span class="review-how">
          <Urgency urgency={row.urgency} time={row.time_in_words} />
        </span>
        <span class="review-who">
          <strong>{patient.name}</strong>{" "}
          <span class="small">
            born {calendarDay(patient.birth_date)}, {access.title}
          </span>
        </span>
        <span class="review-why">{row.sentence}</span>
        {chart && (
          <span class="review-chart">
            <Drawing svg={chart.svg} />
            <span class="small soft">{chart.title}</span>
          </span>
        )}
        <span class="small soft review-then">{lastLine(row, week)}</span>
      </button>
      {children}
    </li>
  );
}
