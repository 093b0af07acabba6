// One line or one box of free text, a day or a plain number, with its label, what was refused and how much room is
// left. It starts with what it is given and never fills anything in.
import type { ComponentChildren } from "preact";

interface Props {
  readonly name: string;
  readonly label: string;
  readonly text: string;
  readonly onText: (text: string) => void;
  readonly type?: "text" | "date" | "decimal" | "lines" | undefined;
  readonly unit?: string | undefined;
  readonly rows?: number | undefined;
  readonly most?: number | undefined;
  readonly min?: string | undefined;
  readonly max?: string | undefined;
  readonly error?: string | undefined;
  readonly children?: ComponentChildren;
}

export function TextField({
  name,
  label,
  text,
  onText,
  type = "text",
  unit,
  rows = 2,
  most,
  min,
  max,
  error,
  children,
}: Props) {
  const id = `f-${name}`;
  const left = most === undefined ? null : most - text.length;
  const said = error ?? (left !== null && left < 40 ? `${left} characters left` : undefined);
  const shared = {
    id,
    value: text,
    maxLength: most,
    "aria-invalid": error ? true : undefined,
    "aria-describedby": said ? `${id}-said` : undefined,
    onInput: (event: { readonly currentTarget: { readonly value: string } }) => onText(event.currentTarget.value),
  };
  return (
    <div class="field">
      <label for={id}>
        {label} {unit && <span class="soft">{unit}</span>}
      </label>
      {type === "lines" && <textarea rows={rows} {...shared} />}
      {type === "date" && <input type="date" {...shared} min={min} max={max} />}
      {(type === "text" || type === "decimal") && (
        <input {...shared} inputMode={type === "decimal" ? "decimal" : undefined} autocomplete="off" />
      )}
      {children}
      {said && (
        <p id={`${id}-said`} class={`said ${error ? "refuse" : ""}`}>
          {said}
        </p>
      )}
    </div>
  );
}
