// A time of day on the clinic's clock, typed or taken now. The day is the one given, and stands beside it in words.
import { atClinicClock, calendarDay, clinicDay, plainClock } from "../../data/time";

interface Props {
  readonly name: string;
  readonly label: string;
  readonly value: string | undefined;
  readonly onValue: (value: string) => void;
  /** The clinic's day on which it lies, YYYY-MM-DD. */
  readonly day: string;
  readonly error?: string | undefined;
}

export function TimeField({ name, label, value, onValue, day, error }: Props) {
  const id = `f-${name}`;
  const otherDay = value && clinicDay(value) !== clinicDay(new Date()) ? calendarDay(clinicDay(value)) : "";
  return (
    <div class="field">
      <label for={id}>
        {label} <span class="soft">{otherDay}</span>
      </label>
      <div class="field-row">
        <input
          id={id}
          class="number"
          type="time"
          value={value ? plainClock(value) : ""}
          onChange={(event) => {
            const typed = event.currentTarget.value;
            onValue(typed ? atClinicClock(value ? clinicDay(value) : day, typed).toISOString() : "");
          }}
        />
        <button type="button" aria-label={`${label}: now`} onClick={() => onValue(new Date().toISOString())}>
          Now
        </button>
      </div>
      {error && <p class="said refuse">{error}</p>}
    </div>
  );
}
