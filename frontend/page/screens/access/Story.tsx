// The story of an access, newest first: what was done to it, where the needles went, what was decided, what was sent on.
import { dayOf } from "../../../data/days";
import type { Decision, LogRow, ReferralRow } from "../../../data/review-shapes";
import { day } from "../../../data/time";
import { decisionWords } from "../../parts/decision-words";
import { Readings } from "../../parts/Evidence";
import { Section } from "../../parts/Section";
import { byDay, type NeedleDay } from "./needle-log";

const DAYS_SHOWN = 6;

export function History({ rows }: { readonly rows: readonly LogRow[] }) {
  return (
    <Section id="history" title="History of the access">
      {rows.length === 0 && <p class="soft">Nothing is recorded.</p>}
      <Readings rows={rows} />
    </Section>
  );
}

export function NeedleLog({ rows }: { readonly rows: readonly LogRow[] }) {
  const days = byDay(rows);
  const older = days.slice(DAYS_SHOWN);
  return (
    <Section id="needles" title="Needle log">
      {days.length === 0 && <p class="soft">No needle in the last twelve weeks.</p>}
      <Days days={days.slice(0, DAYS_SHOWN)} />
      {older.length > 0 && (
        <details>
          <summary>{older.length} more days of the last twelve weeks</summary>
          <Days days={older} />
        </details>
      )}
    </Section>
  );
}

function Days({ days }: { readonly days: readonly NeedleDay[] }) {
  return (
    <ul class="dated">
      {days.map(({ at, punctures }) => (
        <li key={at}>
          <span class="soft">{dayOf(at)}</span>
          <span>
            {punctures.map(({ letter, text }) => (
              <span class="puncture" key={letter + text}>
                {letter && <b class={`needle-${letter}`}>{letter}</b>} {text}
              </span>
            ))}
          </span>
        </li>
      ))}
    </ul>
  );
}

export function Reviews({ rows }: { readonly rows: readonly Decision[] }) {
  if (rows.length === 0) return null;
  return (
    <Section id="reviews" title="Weekly reviews">
      <Readings rows={rows.map((one) => ({ at: one.at, text: decisionWords(one) }))} />
    </Section>
  );
}

export function Referrals({ rows }: { readonly rows: readonly ReferralRow[] }) {
  if (rows.length === 0) return null;
  return (
    <Section id="referrals" title="Referrals">
      <ul class="dated">
        {rows.map(({ id, state, question, sent_at, outcome }) => (
          <li key={id}>
            <a class="tap" href={`/referrals/${id}`}>
              {state === "draft" ? "Draft" : `${state}${sent_at ? `, sent ${day(sent_at)}` : ""}`}
            </a>
            <span>{outcome || question}</span>
          </li>
        ))}
      </ul>
    </Section>
  );
}
