// The parts of a referral's summary: findings in order of weight, newest values, history, allergies and medicines.
import { dayOf } from "../../../data/days";
import type { HistoryRow, Summary, SummaryFinding } from "../../../data/review-shapes";
import { day } from "../../../data/time";
import { comparatorsOf, limitOf, Readings, Seen } from "../../parts/Evidence";
import { Section } from "../../parts/Section";
import { Urgency } from "../../parts/Urgency";
import { Pairs } from "../../parts/WorkedOut";

const SHOWN = 3;

export function FindingsOf({ summary }: { readonly summary: Summary }) {
  const { findings, findings_left_out: left, examination } = summary;
  return (
    <Section id="findings" title="Findings, in order of weight">
      {findings.length === 0 && <p>No flag stands.</p>}
      {findings.map((finding) => (
        <Finding key={finding.id} finding={finding} />
      ))}
      {left > 0 && <p class="soft">and {left} of less weight on the page of the access</p>}
      {examination && (
        <p>
          <strong>Last examination</strong> {day(examination.at)}
          {examination.examiner && `, ${examination.examiner}`}: {oddWords(examination)}
        </p>
      )}
    </Section>
  );
}

const inWords = (field: string): string => field.replaceAll("_", " ");

function oddWords({ odd, normal }: NonNullable<Summary["examination"]>): string {
  const found = Object.entries(odd).map(([field, word]) => `${inWords(field)} ${word}`);
  const usual = normal.length > 0 ? `normal: ${normal.map(inWords).join(", ")}` : "";
  return [found.join("; ") || "nothing odd", usual].filter(Boolean).join("; ");
}

function Finding({ finding }: { readonly finding: SummaryFinding }) {
  const newest = finding.evidence.toReversed();
  const { comparators, source_says } = finding;
  return (
    <div class="flag">
      <Urgency urgency={finding.urgency} time={finding.time_in_words} />
      <p>
        <strong>{finding.sentence}</strong>
      </p>
      <Seen flag={finding} />
      <Readings rows={newest.slice(0, SHOWN)} />
      {(newest.length > SHOWN || comparators.length > 0 || source_says) && (
        <details class="screen-only">
          <summary>All that it rests on</summary>
          <Readings rows={newest.slice(SHOWN)} />
          <Pairs rows={[{ name: "Source says", value: source_says }, ...limitOf(finding), ...comparatorsOf(finding)]} />
        </details>
      )}
    </div>
  );
}

export function NewestValues({ summary }: { readonly summary: Summary }) {
  if (summary.newest.length === 0) return null;
  return (
    <Section id="newest" title="Newest values">
      <dl class="values">
        {summary.newest.map(({ name, value, on, doubt }) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>
              <strong>{value}</strong>{" "}
              <span class="small soft">
                {doubt && `${doubt}; `}
                {dayOf(on)}
              </span>
            </dd>
          </div>
        ))}
      </dl>
    </Section>
  );
}

export function HistoryOf({ summary }: { readonly summary: Summary }) {
  return (
    <Section id="history" title="History of the access">
      {summary.history.length === 0 && <p class="soft">Nothing is recorded.</p>}
      <Readings rows={summary.history.map((row) => ({ at: row.on, text: eventWords(row) }))} />
    </Section>
  );
}

function eventWords({ what, where_words, where_cm, degree_percent, outcome }: HistoryRow): string {
  const place = where_words || (where_cm === null ? "" : `at ${where_cm} cm`);
  const degree = degree_percent === null ? "" : `${degree_percent} % narrowed`;
  return [what, place, degree, outcome].filter(Boolean).join(", ");
}

export function MedicinesOf({ summary }: { readonly summary: Summary }) {
  const { allergies, needle_allergies, medicines, given } = summary.medicines;
  return (
    <Section id="medicines" title="Allergies and medicines">
      <Pairs
        rows={[
          { name: "Allergies", value: allergies || "none recorded" },
          { name: "At the needle", value: needle_allergies },
          { name: "Medicines", value: medicines || "none recorded" },
          { name: "Given", value: given },
        ]}
      />
    </Section>
  );
}
