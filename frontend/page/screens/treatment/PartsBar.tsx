// The four parts under the thumb: where each has got to, and one tap to it.
import type { AccessPack } from "../../../data/shapes";
import type { Desk, Typed } from "./desk";

const PARTS = [
  ["examination", "Examine"],
  ["needles", "Needles"],
  ["pressures", "Pressures"],
  ["after", "After"],
] as const;

type Standing = "nothing yet" | "kept here" | "sent";

export function PartsBar({ desk, pack }: { readonly desk: Desk; readonly pack: AccessPack }) {
  return (
    <nav class="parts-bar" aria-label="Parts of the treatment">
      {PARTS.map(([part, word]) => {
        const standing = standingOf(desk, pack, part);
        return (
          <a key={part} href={`#${part}`} class={standing.replace(" ", "-")} onClick={(event) => toPart(event, part)}>
            {word}
            <span class="small">{standing}</span>
          </a>
        );
      })}
    </nav>
  );
}

function toPart(event: MouseEvent, part: string): void {
  event.preventDefault();
  document.getElementById(part)?.scrollIntoView({ block: "start" });
  document.getElementById(`${part}-title`)?.focus({ preventScroll: true });
}

function standingOf(desk: Desk, pack: AccessPack, part: (typeof PARTS)[number][0]): Standing {
  if (isTyped(desk.typed.value, part)) return "kept here";
  const { examinations, needles, pressures, after } = desk.page.value.document;
  const sent = {
    examination: examinations.some(({ access }) => access === pack.id),
    needles: needles.length > 0,
    pressures: pressures.length > 0,
    after: Object.keys(after.bleeding).length > 0 || after.used !== "" || after.left_how !== "",
  };
  return sent[part] ? "sent" : "nothing yet";
}

function isTyped(typed: Typed, part: keyof Typed): boolean {
  if (part === "needles" && typed.plan?.accepted) return true;
  if (part === "pressures" && typed.reading) return true;
  return typed[part] !== undefined;
}
