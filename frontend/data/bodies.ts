// The body of a save, by the collection it goes to: from the parts that were typed to the document that is sent. So a
// save can be finished without any screen, after a reload or when the network comes back.
import type { TreatmentDocument } from "./shapes";
import { flowFrom, recirculationFrom, type TestForm } from "./test-forms";
import { compose, type TypedParts } from "./treatment";

type Typed = Readonly<Record<string, unknown>>;

const DOCUMENTS: Readonly<Record<string, (base: unknown, typed: Typed) => unknown>> = {
  treatments: (base, typed) => compose(base as TreatmentDocument, typed as TypedParts),
  recirculations: (_base, typed) => recirculationFrom(typed["form"] as TestForm),
  flows: (_base, typed) => flowFrom(typed["form"] as TestForm),
  events: whole,
  zones: whole,
  holds: whole,
};

/** A record that was put together when it was asked to be sent. */
function whole(_base: unknown, typed: Typed): unknown {
  return typed["document"];
}

export function bodyOf(kind: string, base: unknown, typed: Typed): Readonly<Record<string, unknown>> {
  const make = DOCUMENTS[kind];
  if (!make) throw new Error(`Nothing is known of how to send ${kind}.`);
  return { document: make(base, typed), reason: typeof typed["reason"] === "string" ? typed["reason"] : "" };
}
