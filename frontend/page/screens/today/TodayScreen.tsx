// Who is due on this shift, by station: the way into each treatment. It shows what the server worked out and changes
// nothing.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Today } from "../../../data/shapes";
import { calendarDay } from "../../../data/time";
import { useLoaded, WhenLoaded } from "../../load";
import { asked } from "../../router";
import { fits } from "./search";
import { TodayRow } from "./TodayRow";
import "./today.css";

const REFRESH_MS = 60_000;

export function TodayScreen() {
  const query = new URLSearchParams();
  for (const name of ["day", "shift"]) {
    const value = asked(name);
    if (value) query.set(name, value);
  }
  const text = query.toString();
  const loaded = useLoaded<Today>(text ? `today?${text}` : "today");
  useEffect(() => {
    document.title = "Today · Ropeladder";
    const timer = setInterval(() => document.visibilityState === "visible" && void loaded.again(), REFRESH_MS);
    return () => clearInterval(timer);
  }, [loaded.again]);
  return <WhenLoaded loaded={loaded}>{(today) => <Shift today={today} />}</WhenLoaded>;
}

function Shift({ today }: { readonly today: Today }) {
  const search = useSignal("");
  const rows = today.rows.filter((row) => fits(row, search.value));
  return (
    <section class="screen today">
      <div class="today-head">
        <h1 tabIndex={-1}>
          Today <small>{calendarDay(today.clinic_day)}</small>
        </h1>
        <ul class="shifts" aria-label="Shift">
          {today.shifts.map((shift) => (
            <li key={shift}>
              <a
                href={`/today?shift=${encodeURIComponent(shift)}`}
                aria-current={shift === today.shift ? "true" : undefined}
              >
                {shift}
              </a>
            </li>
          ))}
        </ul>
        <label class="search">
          <span class="spoken">Search by name, chart number or station</span>
          <input
            type="search"
            placeholder="Name, chart, station"
            value={search.value}
            onInput={(event) => {
              search.value = event.currentTarget.value;
            }}
          />
        </label>
      </div>
      {today.unconfirmed_limits > 0 && (
        <p class="soft small">
          {today.unconfirmed_limits} limits in force wait to be confirmed by this clinic; what they find asks to repeat
          and examine, never more.
        </p>
      )}
      {rows.length === 0 && (
        <p>{search.value ? "Nobody on this shift fits the search." : "Nobody is due on this shift."}</p>
      )}
      <ol class="rows">
        {rows.map((row) => (
          <TodayRow key={row.treatment} row={row} />
        ))}
      </ol>
    </section>
  );
}
