// The head of a treatment: today's orders, the route, when it started, what to mind at the needles.
import { tables } from "../../../data/lookups";
import type { AccessPack, Orders } from "../../../data/shapes";
import { calendarDay, clock } from "../../../data/time";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { TextField } from "../../parts/TextField";
import type { Desk } from "./desk";
import { SavePart } from "./Part";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack | undefined;
}

export function Frame({ desk, pack }: Props) {
  const { orders, patient, accesses } = desk.page.value;
  const { frame } = desk.document.value;
  const mind = [patient.arm_notes, patient.needle_allergies && `At the needles: ${patient.needle_allergies}`];
  const holds = pack?.holds.map(({ why, since }) => `Hold since ${calendarDay(since)}: ${why}`) ?? [];
  const zones =
    pack?.zones.map(({ action, from_cm, to_cm, why }) => `${action} ${from_cm} to ${to_cm} cm: ${why}`) ?? [];
  const notes = [...mind, ...holds, ...zones].filter(Boolean);
  return (
    <section class="orders" aria-labelledby="orders-title">
      <h2 id="orders-title">Today’s orders</h2>
      {orders ? <OrderList orders={orders} /> : <p>No prescription is on record. Ask the prescriber.</p>}
      {notes.length > 0 && (
        <p class="mind">
          <span class="soft">Mind:</span> {notes.join("; ")}
        </p>
      )}
      {accesses.length > 1 && (
        <ChoiceRow
          name="access"
          label="Which access"
          options={accesses.map(({ id }) => id)}
          wordFor={(id) => accesses.find((one) => one.id === id)?.title ?? id}
          value={pack?.id}
          onValue={(id) => id && desk.change({ access: id })}
        />
      )}
      <p class="small soft">
        {frame.started_at ? `Started ${clock(frame.started_at)}` : "Not started"}
        {frame.ended_at && `, ended ${clock(frame.ended_at)}`}. Route: {frame.route || "not said"}.{" "}
        {tables.value?.not_judged[frame.route]}
      </p>
      <p>
        <a href={`/patients/${patient.id}/tests?treatment=${desk.id}${pack ? `&access=${pack.id}` : ""}`}>
          Recirculation test or access flow
        </a>
      </p>
      <details>
        <summary>Route, heparin, notes</summary>
        <form class="fields" onSubmit={(event) => event.preventDefault()}>
          <ChoiceRow
            name="frame.route"
            label="Route"
            options={tables.value?.words["routes"] ?? []}
            value={frame.route}
            onValue={(route) => route && change(desk, { route })}
          />
          {frame.route === "not dialysed" && <Text desk={desk} field="not_dialysed_why" label="Why not dialysed" />}
          <Text desk={desk} field="heparin" label="Heparin given" />
          <Text desk={desk} field="antithrombotics" label="Other antithrombotics" />
          <Text desk={desk} field="notes" label="Notes" />
          <SavePart desk={desk} parts={["frame"]} label="Save" />
        </form>
      </details>
    </section>
  );
}

type TextName = "not_dialysed_why" | "heparin" | "antithrombotics" | "notes";

export function change(desk: Desk, changed: NonNullable<Desk["typed"]["value"]["frame"]>): void {
  desk.change({ frame: { ...desk.typed.value.frame, ...changed } });
}

function Text({ desk, field, label }: { readonly desk: Desk; readonly field: TextName; readonly label: string }) {
  return (
    <TextField
      name={`frame.${field}`}
      label={label}
      text={desk.document.value.frame[field]}
      onText={(text) => change(desk, { [field]: text })}
      error={textFor(desk.refused.value?.fields, `frame.${field}`)}
    />
  );
}

function OrderList({ orders }: { readonly orders: Orders }) {
  const { dialyzer, needle_gauge, pump_ml_min, hours, heparin, dialysate_flow_ml_min, since } = orders;
  const pairs: [string, string][] = [
    ["Dialyzer", dialyzer],
    ["Needles", needle_gauge === null ? "" : `${needle_gauge}G`],
    ["Pump", pump_ml_min === null ? "" : `${pump_ml_min} mL/min`],
    ["Time", hours === null ? "" : `${hours} h`],
    ["Dialysate", dialysate_flow_ml_min === null ? "" : `${dialysate_flow_ml_min} mL/min`],
    ["Heparin", heparin],
    ["Since", calendarDay(since)],
  ];
  return (
    <dl class="order-list">
      {pairs
        .filter(([, value]) => value)
        .map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
    </dl>
  );
}
