// A part that two people changed: both versions side by side, and a person chooses. Nothing is thrown away silently.
import type { Refusal } from "../../../data/drafts";
import type { TreatmentDocument } from "../../../data/shapes";
import type { Desk } from "./desk";
import { shortLabelOf } from "./findings";
import { nameOf } from "./sites";

const TITLES: Readonly<Record<string, string>> = {
  frame: "Head of the treatment",
  examination: "Examination",
  examinations: "Examination",
  needles: "Needles",
  pressures: "Pressures",
  after: "After",
};

export function Choosing({ desk, refused }: { readonly desk: Desk; readonly refused: Refusal }) {
  const parts = Array.isArray(refused.body["parts"]) ? refused.body["parts"].map(String) : [];
  const theirs = refused.body["theirs"] as TreatmentDocument | undefined;
  return (
    <section class="summary" role="alert">
      <h2>Two people changed the same part</h2>
      <p>{refused.words}</p>
      {parts.map((part) => (
        <div key={part}>
          <h3>{TITLES[part] ?? part}</h3>
          <div class="both">
            <Version title="Typed here" lines={linesOf(part, desk.document.value)} />
            <Version title="Stored by a colleague" lines={theirs ? linesOf(part, theirs) : []} />
          </div>
        </div>
      ))}
      <p class="both">
        <button type="button" onClick={() => void desk.chooseMine()}>
          Keep what was typed here
        </button>
        <button type="button" onClick={() => void desk.chooseTheirs(parts)}>
          Keep what is stored
        </button>
      </p>
    </section>
  );
}

function Version({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  return (
    <div>
      <h4>{title}</h4>
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </div>
  );
}

/** What a part says, line by line, so that two versions can be compared by eye. */
function linesOf(part: string, document: TreatmentDocument): string[] {
  if (part === "needles")
    return document.needles.map((needle) => `${nameOf(needle)}, ${needle.gauge ?? "–"}G, ${needle.outcome}`);
  if (part === "pressures")
    return document.pressures.map(
      (one) =>
        `minute ${one.minute ?? "–"}: pump ${one.pump_ml_min ?? "–"}, A ${one.pre_pump_arterial_mmhg ?? "–"}, V ${one.venous_mmhg ?? "–"}`,
    );
  if (part.startsWith("examination"))
    return document.examinations.flatMap(({ findings, note }) => [
      ...Object.entries(findings).map(([field, word]) => `${shortLabelOf(field)}: ${word}`),
      ...(note ? [note] : []),
    ]);
  return entriesOf(part === "after" ? document.after : document.frame);
}

function entriesOf(record: object): string[] {
  return Object.entries(record)
    .filter(([, value]) => value !== null && value !== "")
    .map(
      ([name, value]) => `${name.replaceAll("_", " ")}: ${typeof value === "object" ? JSON.stringify(value) : value}`,
    );
}
