// What the server refused, in its own words, with a way to each field. It takes the focus when it appears.
import { useEffect, useRef } from "preact/hooks";
import type { FieldProblem } from "../../data/problem";

interface Props {
  readonly words: string;
  readonly fields: readonly FieldProblem[];
}

export function ErrorSummary({ words, fields }: Props) {
  const box = useRef<HTMLElement>(null);
  useEffect(() => box.current?.focus(), [words]);
  return (
    <section ref={box} class="summary" role="alert" tabIndex={-1}>
      <h3>{fields.some(({ text }) => text === words) ? "Not stored yet" : words}</h3>
      {fields.length > 0 && (
        <ul>
          {fields.map(({ field, text }) => (
            <li key={field + text}>
              <a href={`#f-${field}`} onClick={(event) => toField(event, field)}>
                {placeOf(field)}
                {text}
              </a>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** Where a refused value stands, in words, from its path in the document: `needles.0.along_cm` is "along cm". */
function placeOf(path: string): string {
  const last = path.split(".").at(-1) ?? "";
  return /^[a-z_]+$/.test(last) ? `${last.replace(/_(ml_min|mmhg|cm|at)$/, "").replaceAll("_", " ")}: ` : "";
}

function toField(event: MouseEvent, field: string): void {
  event.preventDefault();
  const found = document.getElementById(`f-${field}`);
  found?.scrollIntoView({ block: "center" });
  (found?.matches("input, select, textarea") ? found : found?.querySelector<HTMLElement>("input, button"))?.focus();
}

/** The text that a list of field problems has for one field. */
export function textFor(fields: readonly FieldProblem[] | undefined, field: string): string | undefined {
  return fields?.find((problem) => problem.field === field)?.text;
}
