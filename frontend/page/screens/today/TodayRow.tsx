// One patient of the shift: two identifiers, the access, the sites used last, what is due, what to mind, how far it got.
import type { LastSites, TodayRow as Row } from "../../../data/shapes";
import { calendarDay } from "../../../data/time";
import { Urgency } from "../../parts/Urgency";

const PARTS = [
  ["examination", "Examined"],
  ["needles", "Needles"],
  ["pressures", "Pressures"],
  ["after", "After"],
] as const;

export function TodayRow({ row }: { readonly row: Row }) {
  const { patient, access, station } = row;
  return (
    <li class="row">
      <p class="row-station">
        <span class="spoken">Station </span>
        {station ?? "–"}
      </p>
      <div class="row-who">
        <a class="row-name" href={`/treatments/${row.treatment}`}>
          {patient.name}
        </a>
        <p>
          born {calendarDay(patient.birth_date)}
          {patient.isolation && <strong> · isolation</strong>}
        </p>
        {access ? (
          <p>
            <a class="row-access" href={`/accesses/${access.id}`}>
              {access.title}
            </a>
          </p>
        ) : (
          <p class="soft">no access recorded</p>
        )}
        {row.last_sites && <LastTime sites={row.last_sites} />}
      </div>
      <div class="row-notes">
        {row.flags.map(({ urgency, time_in_words, sentence }) => (
          <p key={sentence}>
            <Urgency urgency={urgency} time={time_in_words} /> {sentence}
          </p>
        ))}
        <Notes label="Mind" lines={[...row.mind, patient.arm_notes].filter(Boolean)} />
        <Notes label="Due" lines={row.due} />
      </div>
      <ul class="progress" aria-label="How far the record has got">
        {PARTS.map(([part, word]) => (
          <li key={part} class={row.progress[part] ? "done" : ""}>
            {word} <span class="spoken">{row.progress[part] ? "recorded" : "not yet"}</span>
          </li>
        ))}
      </ul>
    </li>
  );
}

function LastTime({ sites }: { readonly sites: LastSites }) {
  return (
    <p class="soft">
      last <span class="site-a">A</span> {sites.arterial_cm ?? "–"} cm <span class="site-v">V</span>{" "}
      {sites.venous_cm ?? "–"} cm, {calendarDay(sites.on)}
    </p>
  );
}

function Notes({ label, lines }: { readonly label: string; readonly lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <p>
      <span class="soft">{label}:</span> {lines.join("; ")}
    </p>
  );
}
