// A part of a sheet under its heading, found by that heading in the list of headings and of regions.
import type { ComponentChildren } from "preact";

interface Props {
  readonly id: string;
  readonly title: string;
  readonly class?: string | undefined;
  readonly children: ComponentChildren;
}

export function Section({ id, title, class: also = "", children }: Props) {
  return (
    <section class={`part-of-sheet ${also}`} id={id} aria-labelledby={`${id}-title`}>
      <h2 id={`${id}-title`} tabIndex={-1}>
        {title}
      </h2>
      {children}
    </section>
  );
}
