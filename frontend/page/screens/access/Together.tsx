// What the numbers say together. The server works it out when somebody opens it, anew each time; nothing of it is kept
// on the device.
import { useSignal } from "@preact/signals";
import type { Weighed } from "../../../data/review-shapes";
import { useLoaded } from "../../load";
import { Section } from "../../parts/Section";
import { Twin } from "../../parts/ServerFigure";
import { WorkedOut } from "../../parts/WorkedOut";

export function Together({ access }: { readonly access: string }) {
  const open = useSignal(false);
  return (
    <Section id="together" title="What the numbers say together">
      <details
        onToggle={({ currentTarget }) => {
          open.value = currentTarget.open;
        }}
      >
        <summary>Where it narrows, how evenly it is needled, how long each site rested</summary>
        {open.value && <Asked access={access} />}
      </details>
    </Section>
  );
}

function Asked({ access }: { readonly access: string }) {
  const { data, trouble, again } = useLoaded<Weighed>(`accesses/${access}/weighed`);
  if (data.value)
    return (
      <div class="weighed">
        {data.value.items.map((item) => (
          <Item key={item.id} {...item} />
        ))}
      </div>
    );
  if (!trouble.value) return <p role="status">It is being worked out …</p>;
  return (
    <div role="alert">
      <p>
        {trouble.value === "out of reach"
          ? "The server cannot be reached. This is worked out there and not kept on this device."
          : trouble.value.words}
      </p>
      <button type="button" onClick={() => void again()}>
        Try again
      </button>
    </div>
  );
}

function Item({ title, sentence, lines, table, worked }: Weighed["items"][number]) {
  return (
    <section aria-label={title}>
      <h3>{title}</h3>
      <p>{sentence}</p>
      {lines.map((line) => (
        <p key={line} class="small">
          {line}
        </p>
      ))}
      {table && (
        <details>
          <summary>Site by site</summary>
          <Twin table={table} title={title} />
        </details>
      )}
      <WorkedOut worked={worked} />
    </section>
  );
}
