// One flag with what it rests on laid open: how often it was seen, each reading, the guidelines' own rules beside it;
// formula, source and doubt are one tap away. It shows what the flag saw and judges nothing.
import type { ComponentChildren } from "preact";
import { dayOf, plainWords, withoutDay } from "../../data/days";
import type { SummaryFinding } from "../../data/review-shapes";
import { clinic } from "../../data/session";
import type { Flag } from "../../data/shapes";
import { day, dayAndClock } from "../../data/time";
import { Pair } from "./Explain";
import { Urgency } from "./Urgency";

const FIRST = 4;

interface Props {
  readonly flag: Flag;
  /** What may be done about it. */
  readonly children?: ComponentChildren;
}

export function Evidence({ flag, children }: Props) {
  const { explain } = flag;
  const newest = flag.evidence.toReversed();
  return (
    <div class="flag">
      <Urgency urgency={flag.urgency} time={flag.time_in_words} />
      <p>
        <strong>{flag.sentence}</strong> {flag.ask}
      </p>
      {flag.basis === "emergency" && <WhomToCall />}
      <Seen flag={flag} />
      <Readings rows={newest.slice(0, FIRST)} />
      <details>
        <summary>How it is worked out</summary>
        <Readings rows={newest.slice(FIRST)} />
        <dl class="pairs">
          <Pair name="Formula" value={plainWords(explain.formula)} />
          <Pair name="Source" value={plainWords(sourceOf(flag))} />
          <Pair name="How sure" value={plainWords(explain.doubt)} />
          {!flag.limit_confirmed && <Pair name="Limit" value="not yet confirmed by this clinic" />}
          {flag.comparators.map(({ rule, met, sentence }) => (
            <Pair key={rule} name={`${rule}: ${met ? "met" : "not met"}`} value={sentence} />
          ))}
        </dl>
      </details>
      {children}
    </div>
  );
}

/** The numbers that an emergency asks to be called; nobody is called by the program. */
function WhomToCall() {
  const contacts = clinic.value?.emergency_contacts ?? [];
  if (contacts.length === 0) return <p>No number is entered for this clinic: call as your clinic’s plan says.</p>;
  return (
    <ul class="calls">
      {contacts.map(({ who, number }) => (
        <li key={who + number}>
          {who}:{" "}
          <a class="tap" href={`tel:${number.replaceAll(/[^\d+]/g, "")}`}>
            {number}
          </a>
        </li>
      ))}
    </ul>
  );
}

function sourceOf({ explain, source, source_says }: Flag): string {
  return [explain.source || source, source_says].filter(Boolean).join(": ");
}

type Counted = Pick<
  Flag & SummaryFinding,
  "times_seen" | "times_needed" | "since" | "last_seen" | "known_since" | "missing"
>;

/** Since when, how often and what was missing, in one line. */
export function Seen({ flag }: { readonly flag: Counted }) {
  const needed = flag.times_needed > 1 ? `, ${flag.times_needed} needed` : "";
  const often = `seen ${times(flag.times_seen)}${needed}`;
  const since = day(flag.since);
  const last = day(flag.last_seen);
  return (
    <p class="small soft">
      {often}; {since === last ? `on ${since}` : `since ${since}, last on ${last}`}
      {flag.known_since && `; known since ${dayAndClock(flag.known_since)}`}
      {flag.missing.length > 0 && `; missing: ${flag.missing.join("; ")}`}
    </p>
  );
}

const times = (count: number): string => (count === 1 ? "once" : count === 2 ? "twice" : `${count} times`);

export function Readings({ rows }: { readonly rows: readonly { readonly at: string; readonly text: string }[] }) {
  if (rows.length === 0) return null;
  return (
    <ul class="dated">
      {rows.map(({ at, text }) => (
        <li key={at + text}>
          <span class="soft">{dayOf(at)}</span> <span>{withoutDay(text)}</span>
        </li>
      ))}
    </ul>
  );
}
