// One referral on one sheet: who, which access, what is asked and how soon; what led to it; what was done before; and,
// on the screen only, the step that may be taken now. What stands on it is the server's summary, frozen when it was sent.
import { useEffect } from "preact/hooks";
import type { Referral } from "../../../data/review-shapes";
import { day, dayAndClock } from "../../../data/time";
import { useLoaded, WhenLoaded } from "../../load";
import { PatientBanner } from "../../parts/PatientBanner";
import { Section } from "../../parts/Section";
import { ServerFigure } from "../../parts/ServerFigure";
import { Urgency } from "../../parts/Urgency";
import { drawnFor, roomy } from "../../width";
import { NextStep } from "./NextStep";
import { FindingsOf, HistoryOf, MedicinesOf, NewestValues } from "./SummaryParts";
import { wayOf } from "./steps";

export function ReferralSheet({ id }: { readonly id: string }) {
  const loaded = useLoaded<Referral>(`referrals/${id}?width=${drawnFor()}`);
  const changed = (referral: Referral): void => {
    loaded.data.value = referral;
  };
  return (
    <WhenLoaded loaded={loaded}>
      {(referral) => <Sheet referral={referral} changed={changed} again={loaded.again} />}
    </WhenLoaded>
  );
}

export interface SheetProps {
  readonly referral: Referral;
  readonly changed: (referral: Referral) => void;
  readonly again: () => Promise<void>;
}

function Sheet(props: SheetProps) {
  const { referral } = props;
  useEffect(() => {
    document.title = `Referral, ${referral.access.title} · Ropeladder`;
  }, [referral.access.title]);
  return (
    <article class="screen sheet">
      <PatientBanner patient={referral.patient} access={referral.access.title} />
      <Asked referral={referral} />
      {roomy.value ? <Beside {...props} /> : <Below {...props} />}
      <Foot referral={referral} />
    </article>
  );
}

function Beside(props: SheetProps) {
  const { referral } = props;
  return (
    <div class="columns">
      <div class="column">
        <FindingsOf summary={referral.summary} />
        <NewestValues summary={referral.summary} />
        <Charts referral={referral} />
      </div>
      <div class="column">
        <NextStep {...props} />
        <MapOf referral={referral} />
        <HistoryOf summary={referral.summary} />
        <MedicinesOf summary={referral.summary} />
      </div>
    </div>
  );
}

function Below(props: SheetProps) {
  const { referral } = props;
  return (
    <div class="column">
      <a class="tap screen-only" href="#next">
        To the next step
      </a>
      <FindingsOf summary={referral.summary} />
      <NewestValues summary={referral.summary} />
      <MedicinesOf summary={referral.summary} />
      <MapOf referral={referral} />
      <Charts referral={referral} />
      <HistoryOf summary={referral.summary} />
      <NextStep {...props} />
    </div>
  );
}

function Asked({ referral }: { readonly referral: Referral }) {
  const { summary, urgency, time_in_words, question } = referral;
  const { access, patient } = summary;
  const facts = [access.status !== "in use" && access.status, access.note, patient.arm_notes, patient.isolation];
  const answers = [
    ["Decision", referral.decision],
    ["Result", referral.outcome],
    ["Withdrawn", referral.withdrawn_why],
  ] as const;
  return (
    <section class="asked" aria-labelledby="asked-title">
      <p class="vessel">
        <strong>{access.whose}</strong>, {access.title}
        {facts.some(Boolean) && <span class="soft"> · {facts.filter(Boolean).join(" · ")}</span>}
      </p>
      <div class={`question ${urgency}`}>
        <h2 id="asked-title">Question</h2>
        <Urgency urgency={urgency} time={time_in_words} />
        <p>{question}</p>
      </div>
      <Way referral={referral} />
      {answers.map(
        ([name, text]) =>
          text && (
            <p key={name} class="answer">
              <strong>{name}:</strong> {text}
            </p>
          ),
      )}
    </section>
  );
}

function Way({ referral }: { readonly referral: Referral }) {
  const to = referral.to ? ` to ${referral.to}` : "";
  return (
    <ol class="way small" aria-label="The way of this referral">
      {wayOf(referral).map(({ what, at, by }) => (
        <li key={what} class={at ? "went" : "soft"}>
          {what}
          {at ? ` ${day(at)}` : <span class="spoken"> not yet</span>}
          {by && ` by ${by}`}
          {what === "Sent" && to}
        </li>
      ))}
    </ol>
  );
}

function MapOf({ referral }: { readonly referral: Referral }) {
  return (
    <Section id="map" title="Map of the access" class="map">
      <ServerFigure svg={referral.map.svg} title="Sites of the last twelve weeks" />
    </Section>
  );
}

function Charts({ referral }: { readonly referral: Referral }) {
  if (referral.charts.length === 0) return null;
  return (
    <Section id="charts" title="Flow and pressures">
      {referral.charts.map((chart) => (
        <ServerFigure key={chart.id} {...chart} />
      ))}
    </Section>
  );
}

function Foot({ referral }: { readonly referral: Referral }) {
  const { summary, sent_at, access } = referral;
  const made = dayAndClock(summary.made_at);
  return (
    <footer class="small soft">
      <p>
        {sent_at ? `As it stood when it was sent, ${made}.` : "As it stands now; it is kept as it is when it is sent."}{" "}
        Judged by {summary.protocol.name}, {summary.protocol.version}. {summary.cautions.join(" ")}
      </p>
      <p class="screen-only">
        <a class="tap" href={`/accesses/${access.id}`}>
          The page of the access
        </a>
      </p>
    </footer>
  );
}
