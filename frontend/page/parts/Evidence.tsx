// One flag with what it rests on laid open: how often it was seen, each reading, the guidelines' own rules beside it;
// formula, source and doubt are one tap away. It shows what the flag saw and judges nothing.
import type { ComponentChildren } from "preact";
import { dayOf, withoutDay } from "../../data/days";
import type { SummaryFinding } from "../../data/review-shapes";
import { clinic } from "../../data/session";
import type { Flag } from "../../data/shapes";
import { day, dayAndClock } from "../../data/time";
import { Urgency } from "./Urgency";
import { type Named, WorkedOut } from "./WorkedOut";

const FIRST = 4;

interface Props {
  readonly flag: Flag;
  /** What may be done about it. */
  readonly children?: ComponentChildren;
}

export function Evidence({ flag, children }: Props) {
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
      <WorkedOut worked={{ ...flag.explain, source: sourceOf(flag) }} more={[...limitOf(flag), ...comparatorsOf(flag)]}>
        <Readings rows={newest.slice(FIRST)} />
      </WorkedOut>
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

export function sourceOf({ explain, source, source_says }: Flag): string {
  return [explain.source || source, source_says].filter(Boolean).join(": ");
}

/** Says it where the limit that a finding rests on still waits for this clinic. */
export function limitOf({ limit_confirmed }: Pick<Flag, "limit_confirmed">): Named[] {
  return limit_confirmed ? [] : [{ name: "Limit", value: "not yet confirmed by this clinic" }];
}

/** What the guidelines' own rules say of the same readings. */
export function comparatorsOf({ comparators }: Pick<Flag, "comparators">): Named[] {
  return comparators.map(({ rule, met, sentence }) => ({
    name: `${rule}: ${met ? "met" : "not met"}`,
    value: sentence,
  }));
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
