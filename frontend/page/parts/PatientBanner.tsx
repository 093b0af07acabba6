// Name and date of birth, in sight whenever something about a patient is entered or shown.
import type { ComponentChildren } from "preact";
import type { Patient } from "../../data/shapes";
import { calendarDay } from "../../data/time";

interface Props {
  readonly patient: Patient;
  /** Side and kind of the access in words, where the screen is about one. */
  readonly access?: string | undefined;
  readonly children?: ComponentChildren;
}

export function PatientBanner({ patient, access, children }: Props) {
  return (
    <header class="banner">
      <h1 tabIndex={-1}>{patient.name}</h1>
      <p>
        born <strong>{calendarDay(patient.birth_date)}</strong>
        <span class="soft"> · chart {patient.chart_number}</span>
        {access && <span> · {access}</span>}
      </p>
      {children}
    </header>
  );
}
