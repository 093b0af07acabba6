// Beside the list: what is overdue, what cannot be judged for lack of data, what came back from referrals.
import type { Review, Sideline } from "../../../data/review-shapes";
import { calendarDay } from "../../../data/time";
import { Section } from "../../parts/Section";

const SHOWN = 5;

export function Sidelines({ review }: { readonly review: Review }) {
  return (
    <div class="sidelines">
      <One id="returned" title="Came back" rows={review.returned} none="Nothing came back from referrals." />
      <One id="overdue" title="Overdue" rows={review.overdue} none="Nothing is overdue." />
      <One id="unjudged" title="Cannot be judged" rows={review.cannot_judge} none="Every access can be judged." />
    </div>
  );
}

interface Props {
  readonly id: string;
  readonly title: string;
  readonly rows: readonly Sideline[];
  readonly none: string;
}

function One({ id, title, rows, none }: Props) {
  const more = rows.slice(SHOWN);
  return (
    <Section id={id} title={rows.length > 0 ? `${title} (${rows.length})` : title}>
      {rows.length === 0 && <p class="soft">{none}</p>}
      <Rows rows={rows.slice(0, SHOWN)} />
      {more.length > 0 && (
        <details>
          <summary>{more.length} more</summary>
          <Rows rows={more} />
        </details>
      )}
    </Section>
  );
}

function Rows({ rows }: { readonly rows: readonly Sideline[] }) {
  return (
    <ul class="lines">
      {rows.map(({ access, patient, sentence }) => (
        <li class="whole" key={access.id + sentence}>
          <a href={`/accesses/${access.id}`}>{patient.name}</a>
          <p class="small">
            born {calendarDay(patient.birth_date)} · {access.title}
          </p>
          <p>{sentence}</p>
        </li>
      ))}
    </ul>
  );
}
