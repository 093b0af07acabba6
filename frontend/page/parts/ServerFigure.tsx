// A figure that the server drew, so that page, document and print agree, with what it says in sentences, its table twin
// and how it is worked out. Only drawing passes: the text is read as XML and anything that could run or fetch is left out
// before it is shown.
import { useEffect, useRef } from "preact/hooks";
import { type Worked, WorkedOut } from "./WorkedOut";

export interface TwinTable {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly (string | number | null)[])[];
}

interface Props {
  readonly svg: string;
  readonly title: string;
  readonly table?: TwinTable | undefined;
  readonly statements?: readonly string[];
  readonly worked?: Worked | null;
}

export function ServerFigure({ svg, title, table, statements = [], worked }: Props) {
  const holder = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const drawn = drawing(svg);
    if (drawn) holder.current?.replaceChildren(drawn);
  }, [svg]);
  return (
    <figure class="figure">
      <figcaption>{title}</figcaption>
      <div ref={holder} class="figure-drawing" />
      {statements.map((said) => (
        <p key={said}>{said}</p>
      ))}
      {table && (
        <details>
          <summary>The same as a table</summary>
          <Twin table={table} title={title} />
        </details>
      )}
      {worked && <WorkedOut worked={worked} />}
    </figure>
  );
}

export function Twin({ table, title }: { readonly table: TwinTable; readonly title: string }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by key.
    <section class="scrolls" tabIndex={0} aria-label={`${title}, table`}>
      <table>
        <thead>
          <tr>
            {table.columns.map((column) => (
              <th key={column} scope="col">
                {column}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {table.rows.map((row) => (
            <tr key={row.join(" ")}>
              {row.map((cell, index) => (
                <td key={table.columns[index]}>{cell ?? "–"}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

const NEVER = "script, style, foreignObject, iframe, image, animate, set, a";

/** The drawing in a text of SVG, or null where the text is no SVG. */
export function drawing(text: string): Element | null {
  const root = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (root.nodeName !== "svg") return null;
  for (const unwanted of root.querySelectorAll(NEVER)) unwanted.remove();
  for (const element of [root, ...root.querySelectorAll("*")]) {
    for (const { name, value } of [...element.attributes]) {
      const outward = /href$/i.test(name) && !value.startsWith("#");
      if (/^on|^style$/i.test(name) || outward) element.removeAttribute(name);
    }
  }
  return document.importNode(root, true);
}
