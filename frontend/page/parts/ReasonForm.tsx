// A form of one text that must be said before a step is taken: a decision, or why something is closed or taken back.
// The text is kept on the device until the step was taken.
import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useKept } from "../kept";
import { SaveState } from "./SaveState";
import { TextField } from "./TextField";

interface Props {
  /** Under which name it is kept on the device. */
  readonly id: string;
  readonly name: string;
  readonly label: string;
  /** What to say while it is empty. */
  readonly ask: string;
  readonly most: number;
  readonly button: string;
  readonly busy: boolean;
  readonly error?: string | undefined;
  /** Takes the step; true when it was taken. */
  readonly onSend: (text: string) => Promise<boolean>;
  readonly children?: ComponentChildren;
}

export function ReasonForm({ id, name, label, ask, most, button, busy, error, onSend, children }: Props) {
  const form = useKept<{ text: string }>(id, { text: "" });
  const pressed = useSignal(false);
  const text = form.texts.value.text;
  async function submit(event: Event): Promise<void> {
    event.preventDefault();
    pressed.value = true;
    if (text.trim() && (await onSend(text.trim()))) form.done();
  }
  return (
    <form class="small-form" onSubmit={submit} noValidate aria-label={button}>
      <TextField
        name={name}
        label={label}
        type="lines"
        most={most}
        text={text}
        onText={(typed) => form.change({ text: typed })}
        error={pressed.value && !text.trim() ? ask : error}
      />
      <SaveState state={form.state.value} />
      <div class="buttons">
        <button type="submit" class="main" disabled={busy}>
          {button}
        </button>
        {children}
      </div>
    </form>
  );
}
