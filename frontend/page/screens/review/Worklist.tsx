// The list and, beside it or below the chosen row, its evidence and the decision. The focus moves with the choice; only
// one row is in the tab order, so that Tab leads from the list to the evidence.
import { useRef } from "preact/hooks";
import type { Review } from "../../../data/review-shapes";
import { roomy } from "../../width";
import { type Meaning, meaningOf } from "./keys";
import { Panel, type PanelHandle } from "./Panel";
import { Row } from "./Row";
import { useWork, type Work } from "./work";

export function Worklist({ review }: { readonly review: Review }) {
  const work = useWork(review);
  const { rows, next, chosen, said } = work;
  const panel = useRef<PanelHandle>(null);
  const row = chosen.value === null ? undefined : rows.value[chosen.value];
  const shown = row && <Panel key={row.access.id} handle={panel} row={row} work={work} />;
  return (
    <>
      <p role="status" class={said.value ? "done-note" : "spoken"}>
        {said.value}
      </p>
      {rows.value.length === 0 && <p>No access needs attention this week.</p>}
      <div class="review-columns">
        <div>
          <ol
            class="review-rows"
            aria-label="Accesses that need attention"
            aria-describedby="keys"
            onKeyDown={(event) => onKey(event, work, panel.current)}
          >
            {rows.value.map((one, index) => (
              <Row
                key={one.access.id}
                row={one}
                week={review.week}
                isChosen={index === chosen.value}
                inTabOrder={index === (chosen.value ?? 0)}
                onChoose={() => {
                  chosen.value = index === chosen.value && !roomy.value ? null : index;
                }}
              >
                {!roomy.value && index === chosen.value && shown}
              </Row>
            ))}
          </ol>
          {next.value && (
            <button type="button" onClick={() => void work.more()}>
              Show more
            </button>
          )}
        </div>
        {roomy.value && shown}
      </div>
    </>
  );
}

function onKey(event: KeyboardEvent, work: Work, panel: PanelHandle | null): void {
  if (!(event.target as Element).matches(".review-row-button")) return;
  const meaning = meaningOf(event, "list");
  // With nothing open below it, Enter opens the row, as on any button.
  if (!meaning || (meaning.do === "save" && !panel)) return;
  event.preventDefault();
  follow(meaning, work, panel);
}

function follow(meaning: Meaning, { chosen, rows, goTo }: Work, panel: PanelHandle | null): void {
  if (meaning.do === "move") void goTo((chosen.value ?? -1) + meaning.by);
  else if (meaning.do === "end") void goTo(meaning.last ? rows.value.length - 1 : 0);
  else if (meaning.do === "choose") panel?.choose(meaning.outcome);
  else if (meaning.do === "save") panel?.enter();
  else if (!roomy.value) chosen.value = null;
}
