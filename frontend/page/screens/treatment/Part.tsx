// One part of a treatment: its heading, its fields, its own way to save. A treatment that has ended asks why before
// it is changed.
import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { TextField } from "../../parts/TextField";
import type { Desk, Sent } from "./desk";

interface Props {
  readonly desk: Desk;
  readonly id: string;
  readonly number: number;
  readonly title: string;
  readonly children: ComponentChildren;
}

export function Part({ id, number, title, children }: Omit<Props, "desk">) {
  return (
    <form class="part" id={id} aria-labelledby={`${id}-title`} noValidate onSubmit={(event) => event.preventDefault()}>
      <h2 id={`${id}-title`} tabIndex={-1}>
        <span class="part-number">{number}</span> {title}
      </h2>
      {children}
    </form>
  );
}

/** Whether anything of these parts is typed; of an ended treatment only what was changed can be saved. */
function isTouched({ typed }: Desk, parts: readonly Sent[]): boolean {
  const { plan, reading } = typed.value;
  if ((plan && parts.includes("needles")) || (reading && parts.includes("pressures"))) return true;
  return parts.some((part) => typed.value[part] !== undefined);
}

interface SaveProps {
  readonly desk: Desk;
  readonly parts: readonly Sent[];
  readonly label: string;
  /** What is still in the way, in words; then nothing is sent and it stands at the button. */
  readonly obstacle?: string | undefined;
  /** Done just before sending, to put the typed values in their final shape. */
  readonly before?: (() => void) | undefined;
}

export function SavePart({ desk, parts, label, obstacle, before }: SaveProps) {
  const pressed = useSignal(false);
  const ended = desk.page.value.state === "ended";
  if (ended && !isTouched(desk, parts)) return null;
  const reason = desk.typed.value.reason ?? "";
  const inTheWay = obstacle || (ended && !reason.trim() ? "Say why it is changed: the treatment has ended." : "");
  function send(): void {
    pressed.value = true;
    if (inTheWay) return;
    before?.();
    desk.send(...parts);
    pressed.value = false;
  }
  return (
    <div class="save">
      {ended && (
        <TextField
          name={`reason.${parts[0]}`}
          label="Why it is changed"
          text={reason}
          onText={(text) => desk.change({ reason: text })}
        />
      )}
      <button type="button" class="main" data-chain onClick={send}>
        {label}
      </button>
      {pressed.value && inTheWay && (
        <p class="said refuse" role="alert">
          {inTheWay}
        </p>
      )}
    </div>
  );
}
