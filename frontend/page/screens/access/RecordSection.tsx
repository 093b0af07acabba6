// What may be recorded here beside the treatments; one form at a time.
import { useSignal } from "@preact/signals";
import { may } from "../../../data/session";
import { Section } from "../../parts/Section";
import type { AccessProps } from "./index";
import { RecordForm } from "./RecordForm";
import { KINDS, type Kind } from "./record";

export function RecordSection({ page, again }: AccessProps) {
  const open = useSignal<Kind | null>(null);
  const said = useSignal("");
  const kinds = (Object.keys(KINDS) as Kind[]).filter((kind) => may(KINDS[kind].act));
  if (kinds.length === 0) return null;
  return (
    <Section id="record" title="Record" class="screen-only">
      <p role="status" class={said.value ? "done-note" : "spoken"}>
        {said.value}
      </p>
      {open.value ? (
        <RecordForm
          key={open.value}
          kind={open.value}
          page={page}
          onLeave={(words) => {
            open.value = null;
            said.value = words;
            if (words) void again();
            document.getElementById("record-title")?.focus();
          }}
        />
      ) : (
        <div class="buttons">
          {kinds.map((kind) => (
            <button
              key={kind}
              type="button"
              onClick={() => {
                said.value = "";
                open.value = kind;
              }}
            >
              {KINDS[kind].title}
            </button>
          ))}
        </div>
      )}
    </Section>
  );
}
