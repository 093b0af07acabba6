// Asked once for a pressure out of its band, before it is believed: rule out the circuit, then read again. The first
// reading is already kept and stays.
import { shown } from "../../../data/lookups";
import type { Outside } from "./bands";

// Standing: common practice, no source.
const CIRCUIT = [
  "a kink in a line",
  "a clamp left closed",
  "a needle against the wall",
  "the level in the drip chamber",
  "a wet transducer filter",
  "a clot",
];

const NAMES = { pre_pump_arterial_mmhg: "The arterial pressure", venous_mmhg: "The venous pressure" } as const;

interface Props {
  readonly outside: readonly Outside[];
  readonly onAgain: () => void;
  readonly onLeave: () => void;
}

export function RuleOut({ outside, onAgain, onLeave }: Props) {
  return (
    <section class="rule-out" role="alert">
      {outside.map(({ quantity, side, band }) => (
        <p key={quantity}>
          <strong>
            {NAMES[quantity]} is {side} what is usual for this access
          </strong>{" "}
          ({shown(Math.round(band.low ?? 0))} to {shown(Math.round(band.high ?? 0))} mmHg). First rule out the circuit:
        </p>
      ))}
      <ul>
        {CIRCUIT.map((cause) => (
          <li key={cause}>{cause}</li>
        ))}
      </ul>
      <p class="choice-row">
        <button type="button" class="main" onClick={onAgain}>
          Read again
        </button>
        <button type="button" onClick={onLeave}>
          It stays as read
        </button>
      </p>
    </section>
  );
}
