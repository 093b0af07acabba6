// A derived number with its name, which explains itself one tap away.
import { type Worked, WorkedOut } from "./WorkedOut";

interface Props {
  readonly label: string;
  readonly value: string;
  readonly worked: Worked;
}

export function Explain({ label, value, worked }: Props) {
  return (
    <div class="explain">
      <p class="explain-value">
        <span class="soft">{label}</span> <strong>{value}</strong>
      </p>
      <WorkedOut worked={worked} />
    </div>
  );
}
