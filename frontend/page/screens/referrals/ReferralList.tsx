// The referrals of the clinic, the open ones first, each with what it waits for.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { get } from "../../../data/api";
import type { ReferralList as Page, ReferralRow } from "../../../data/review-shapes";
import { calendarDay, day } from "../../../data/time";
import { useLoaded, WhenLoaded } from "../../load";
import { Section } from "../../parts/Section";
import { Urgency } from "../../parts/Urgency";
import { isOpen, waitsFor } from "./steps";

export function ReferralList() {
  const loaded = useLoaded<Page>("referrals");
  useEffect(() => {
    document.title = "Referrals · Ropeladder";
  }, []);
  return <WhenLoaded loaded={loaded}>{(page) => <Listed page={page} />}</WhenLoaded>;
}

function Listed({ page }: { readonly page: Page }) {
  const rows = useSignal(page.rows);
  const next = useSignal(page.next);
  async function more(): Promise<void> {
    const following = await get<Page>(`referrals?cursor=${encodeURIComponent(next.value ?? "")}`).catch(() => null);
    if (!following) return;
    rows.value = [...rows.value, ...following.rows];
    next.value = following.next;
  }
  const open = rows.value.filter(isOpen);
  const closed = rows.value.filter((row) => !isOpen(row));
  return (
    <section class="screen">
      <h1 tabIndex={-1}>Referrals</h1>
      <Section id="open" title="Open">
        {open.length === 0 && <p>No referral is open.</p>}
        <Rows rows={open} />
      </Section>
      {closed.length > 0 && (
        <Section id="closed" title="Closed">
          <Rows rows={closed} />
        </Section>
      )}
      {next.value && (
        <p>
          <button type="button" onClick={() => void more()}>
            Show more
          </button>
        </p>
      )}
    </section>
  );
}

function Rows({ rows }: { readonly rows: readonly ReferralRow[] }) {
  return (
    <ol class="referral-rows">
      {rows.map((row) => (
        <Row key={row.id} row={row} />
      ))}
    </ol>
  );
}

function Row({ row }: { readonly row: ReferralRow }) {
  const { patient, access, state, sent_at, created_at, question, outcome } = row;
  return (
    <li class="referral-row whole">
      <div>
        <a href={`/referrals/${row.id}`}>{patient.name}</a>
        <p class="small">
          born {calendarDay(patient.birth_date)} · {access.title}
        </p>
      </div>
      <div>
        <Urgency urgency={row.urgency} time={row.time_in_words} />
        <p>{outcome || question}</p>
      </div>
      <p class="small">
        {waitsFor(state)}
        <br />
        <span class="soft">{sent_at ? `sent ${day(sent_at)}` : `drafted ${day(created_at)}`}</span>
      </p>
    </li>
  );
}
