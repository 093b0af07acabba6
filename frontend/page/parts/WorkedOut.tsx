// How a number or a finding came about, one tap away: its inputs, the formula in words, the source and how sure it is.
// It shows what it is given and works nothing out.
import type { ComponentChildren } from "preact";
import { plainWords } from "../../data/days";

export interface Named {
  readonly name: string;
  readonly value: string;
}

export interface Worked {
  readonly inputs?: readonly Named[] | undefined;
  readonly formula: string;
  readonly source: string;
  readonly doubt: string;
}

interface Props {
  readonly worked: Worked;
  readonly summary?: string;
  /** Rows that come after how sure it is. */
  readonly more?: readonly Named[];
  /** What stands above the rows. */
  readonly children?: ComponentChildren;
}

export function WorkedOut({ worked, summary = "How it is worked out", more = [], children }: Props) {
  const { inputs = [], formula, source, doubt } = worked;
  const rows = [
    ...inputs,
    { name: "Formula", value: plainWords(formula) },
    { name: "Source", value: plainWords(source) },
    { name: "How sure", value: plainWords(doubt) },
    ...more,
  ];
  return (
    <details>
      <summary>{summary}</summary>
      {children}
      <Pairs rows={rows} />
    </details>
  );
}

/** Names with their values; a row without a value is left out. */
export function Pairs({ rows }: { readonly rows: readonly Named[] }) {
  return (
    <dl class="pairs">
      {rows.map(
        ({ name, value }) =>
          value && (
            <div key={name + value}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ),
      )}
    </dl>
  );
}
