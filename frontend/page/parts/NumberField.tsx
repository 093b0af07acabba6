// One measured number: a big field with its unit, a number pad, a sign key where the number may be negative, and what
// the bounds say, at the field. It starts empty, always; it keeps the text as typed, so that a half-typed number
// survives a reload too.
import type { ComponentChildren } from "preact";
import { type Bound, remarkOn } from "../../data/lookups";

interface Props {
  /** The field's path in the document, by which a problem document names it. */
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  readonly text: string;
  readonly onText: (text: string) => void;
  readonly bound?: Bound | undefined;
  /** The sign a number gets when none is typed; with it the field has a sign key. */
  readonly sign?: "−" | "+" | undefined;
  /** After so many digits the field is left by itself. */
  readonly digits?: number | undefined;
  readonly error?: string | undefined;
  readonly children?: ComponentChildren;
}

export function NumberField({ name, label, unit, text, onText, bound, sign, digits, error, children }: Props) {
  const id = `f-${name}`;
  const negative = text === "" ? sign === "−" : text.startsWith("-");
  const remark = remarkOn(text, bound);
  const said = error ?? remark?.text;

  function typed(field: HTMLInputElement): void {
    const raw = field.value.replace("−", "-");
    const signed = sign && raw !== "" && !/^[-+]/.test(raw) ? (negative ? `-${raw}` : raw) : raw.replace(/^\+/, "");
    onText(signed);
    if (digits && raw.replace(/\D/g, "").length === digits && !/[.,]/.test(raw)) leave(field);
  }

  return (
    <div class="field">
      <label for={id}>
        {label} <span class="soft">{unit}</span>
      </label>
      <div class="field-row">
        {sign && (
          <button
            type="button"
            class="sign"
            aria-label={`${label}: ${negative ? "minus" : "plus"}; change the sign`}
            onClick={() => onText(negative ? text.replace(/^-/, "") : `-${text}`)}
          >
            {negative ? "−" : "+"}
          </button>
        )}
        <input
          id={id}
          class="number"
          inputMode="decimal"
          autocomplete="off"
          enterkeyhint="next"
          data-chain
          value={sign ? text.replace(/^-/, "") : text}
          aria-invalid={remark?.weight === "refuse" || error ? true : undefined}
          aria-describedby={said ? `${id}-said` : undefined}
          onInput={(event) => typed(event.currentTarget)}
          onKeyDown={(event) => {
            if (event.key !== "Enter") return;
            event.preventDefault();
            leave(event.currentTarget);
          }}
        />
        {children}
      </div>
      {said && (
        <p id={`${id}-said`} class={`said ${error ? "refuse" : (remark?.weight ?? "")}`}>
          {said}
        </p>
      )}
    </div>
  );
}

/** Goes to the next field of the same form, or to its button. */
function leave(field: HTMLInputElement): void {
  const all = [...(field.form?.querySelectorAll<HTMLElement>("[data-chain]") ?? [])];
  all[all.indexOf(field) + 1]?.focus();
}
