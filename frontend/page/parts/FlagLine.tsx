// One finding that stands open, in one sentence with how soon, and its evidence one tap away.
import type { Flag } from "../../data/shapes";
import { day, dayAndClock } from "../../data/time";
import { Pair } from "./Explain";
import { Urgency } from "./Urgency";

export function FlagLine({ flag }: { readonly flag: Flag }) {
  return (
    <div class="flag">
      <Urgency urgency={flag.urgency} time={flag.time_in_words} />
      <p>
        {flag.sentence} {flag.ask && <span>{flag.ask}</span>}
      </p>
      <details>
        <summary>What it rests on</summary>
        <dl class="pairs">
          <Pair name="Seen" value={`${flag.times_seen} of ${flag.times_needed} needed, since ${day(flag.since)}`} />
          {flag.known_since && <Pair name="Known since" value={dayAndClock(flag.known_since)} />}
          {flag.evidence.map(({ at, text }) => (
            <Pair key={at + text} name={day(at)} value={text} />
          ))}
          <Pair name="Missing" value={flag.missing.join("; ")} />
          <Pair name="Formula" value={flag.explain?.formula ?? ""} />
          <Pair
            name="Source"
            value={[flag.explain?.source ?? flag.source, flag.source_says].filter(Boolean).join(": ")}
          />
          <Pair name="How sure" value={flag.explain?.doubt ?? ""} />
          {!flag.limit_confirmed && <Pair name="Limit" value="not yet confirmed by this clinic" />}
        </dl>
      </details>
    </div>
  );
}
