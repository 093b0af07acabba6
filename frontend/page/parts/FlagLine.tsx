// One finding that stands open, in one sentence with how soon, and its evidence one tap away.
import { dayOf, withoutDay } from "../../data/days";
import type { Flag } from "../../data/shapes";
import { day, dayAndClock } from "../../data/time";
import { limitOf, sourceOf } from "./Evidence";
import { Urgency } from "./Urgency";
import { type Named, WorkedOut } from "./WorkedOut";

export function FlagLine({ flag }: { readonly flag: Flag }) {
  return (
    <div class="flag">
      <Urgency urgency={flag.urgency} time={flag.time_in_words} />
      <p>
        {flag.sentence} {flag.ask && <span>{flag.ask}</span>}
      </p>
      <WorkedOut
        summary="What it rests on"
        worked={{ ...flag.explain, inputs: seenIn(flag), source: sourceOf(flag) }}
        more={limitOf(flag)}
      />
    </div>
  );
}

function seenIn({ times_seen, times_needed, since, known_since, evidence, missing }: Flag): Named[] {
  return [
    { name: "Seen", value: `${times_seen} times, ${times_needed} needed, since ${day(since)}` },
    { name: "Known since", value: known_since ? dayAndClock(known_since) : "" },
    ...evidence.map(({ at, text }) => ({ name: dayOf(at), value: withoutDay(text) })),
    { name: "Missing", value: missing.join("; ") },
  ];
}
