// An access's own usual band of a pressure, small, beside its field: the band as a bar, the last six values as dots,
// what is being typed as a ring; the same in words for whoever does not see it.
import { shown } from "../../data/lookups";
import type { Band } from "../../data/shapes";
import { calendarDay } from "../../data/time";

const WIDTH = 120;
const HEIGHT = 28;

interface Props {
  readonly band: Band;
  readonly value: number | null;
}

export function UsualBand({ band, value }: Props) {
  if (band.low === null || band.high === null)
    return <p class="small soft">{band.note || `No usual band yet: ${band.count} treatments so far.`}</p>;
  const at = scale([
    band.low,
    band.high,
    ...band.last.map((one) => one.value),
    ...(Number.isFinite(value) ? [value as number] : []),
  ]);
  const since = band.since ? `Since ${calendarDay(band.since)}.` : "";
  const words = `usual ${shown(Math.round(band.low))} to ${shown(Math.round(band.high))}`;
  return (
    <figure class="usual">
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} width={WIDTH} height={HEIGHT} aria-hidden="true">
        <rect class="usual-band" x={at(band.low)} y="8" width={at(band.high) - at(band.low)} height="12" />
        {band.last.map((one, index) => (
          <circle
            key={one.on}
            class="usual-dot"
            cx={at(one.value)}
            cy="14"
            r={index === band.last.length - 1 ? 3.5 : 2.5}
          />
        ))}
        {Number.isFinite(value) && <circle class="usual-now" cx={at(value as number)} cy="14" r="6" />}
      </svg>
      <figcaption class="small">
        {words}
        <span class="spoken">{`; the last ones: ${band.last.map((one) => shown(one.value)).join(", ")}`}</span>
        <span class="soft">
          , {band.count} treatments. {band.note || since}
        </span>
      </figcaption>
    </figure>
  );
}

function scale(values: readonly number[]): (value: number) => number {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const span = most - least || 1;
  return (value) => 8 + ((value - least) / span) * (WIDTH - 16);
}
