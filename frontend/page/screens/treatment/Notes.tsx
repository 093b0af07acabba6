// What the server said beside the document: numbers that are merely unlikely, and a second treatment on one day, on
// which a person decides.
import { useSignal } from "@preact/signals";
import { call } from "../../../data/api";
import type { Ask, TreatmentPage } from "../../../data/shapes";
import { go } from "../../router";
import type { Desk } from "./desk";

export function Asks({ asks }: { readonly asks: readonly Ask[] }) {
  if (asks.length === 0) return null;
  return (
    <section class="said ask" aria-label="Asked about">
      <p>Stored as typed. Look again whether it is right:</p>
      <ul>
        {asks.map(({ field, text }) => (
          <li key={field + text}>{text}</li>
        ))}
      </ul>
    </section>
  );
}

type Answer = "same" | "two treatments";

export function PossiblySame({ desk }: { readonly desk: Desk }) {
  const trouble = useSignal("");
  async function say(answer: Answer): Promise<void> {
    trouble.value = "";
    try {
      await call(`treatments/${desk.id}/pairing`, { method: "POST", body: { answer } });
      if (answer === "same") go("/today");
      else desk.page.value = { ...desk.page.value, possibly_same: null } satisfies TreatmentPage;
    } catch {
      trouble.value = "Nothing was changed. Try again when there is a connection.";
    }
  }
  return (
    <section class="said ask" aria-label="Possibly the same">
      <p>
        Possibly the same as another treatment of this patient on this day. Until somebody says, neither counts twice.
      </p>
      <p class="choice-row">
        <button type="button" onClick={() => void say("same")}>
          The same treatment
        </button>
        <button type="button" onClick={() => void say("two treatments")}>
          Two treatments
        </button>
      </p>
      {trouble.value && <p role="alert">{trouble.value}</p>}
    </section>
  );
}
