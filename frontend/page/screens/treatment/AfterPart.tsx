// After the needles are out: minutes to stop bleeding at each site, what was used, how the access was left.
import { remarkOn, tables } from "../../../data/lookups";
import type { Needle } from "../../../data/shapes";
import { type TypedAfter, typedAfter } from "../../../data/treatment";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { NumberField } from "../../parts/NumberField";
import { TextField } from "../../parts/TextField";
import type { Desk } from "./desk";
import { change as changeFrame } from "./Frame";
import { Part, SavePart } from "./Part";
import { nameOf } from "./sites";

const USED = ["fingers on gauze", "clamp", "dressing that stops bleeding"];
const LEFT = ["dry, thrill felt", "dry, thrill not felt", "still oozing"];

export function AfterPart({ desk }: { readonly desk: Desk }) {
  const after = desk.typed.value.after ?? typedAfter(desk.document.value.after);
  const needles = desk.document.value.needles.filter(({ in_at, outcome }) => in_at && outcome !== "failed");
  const change = (changed: Partial<TypedAfter>) => desk.change({ after: { ...after, ...changed } });
  return (
    <Part id="after" number={4} title="After">
      {needles.length === 0 && (
        <p class="soft">No needle is recorded yet, so no bleeding time can be told to a site.</p>
      )}
      <div class="numbers">
        {needles.map((needle) => (
          <Bleeding
            key={needle.id}
            desk={desk}
            needle={needle}
            after={after}
            onText={(text) => change({ bleeding: { ...after.bleeding, [needle.id]: text } })}
          />
        ))}
      </div>
      <ChoiceRow
        name="after.used"
        label="What was used"
        options={USED}
        value={after.used || undefined}
        onValue={(used = "") => change({ used })}
      />
      <ChoiceRow
        name="after.left_how"
        label="How the access was left"
        options={LEFT}
        value={after.left_how || undefined}
        onValue={(left_how = "") => change({ left_how })}
      />
      <TextField name="after.note" label="Note" type="lines" text={after.note} onText={(note) => change({ note })} />
      <SavePart
        desk={desk}
        parts={["after", "frame"]}
        label="Save and end the treatment"
        obstacle={obstacleFor(after, needles)}
        before={() => end(desk)}
      />
    </Part>
  );
}

function end(desk: Desk): void {
  const { frame } = desk.document.value;
  if (frame.state !== "ended")
    changeFrame(desk, { state: "ended", ended_at: frame.ended_at ?? new Date().toISOString() });
}

function obstacleFor({ bleeding }: TypedAfter, needles: readonly Needle[]): string {
  const bound = tables.value?.bounds["bleeding_minutes"];
  const refused = needles.some(({ id }) => remarkOn(bleeding[id] ?? "", bound)?.weight === "refuse");
  return refused ? "One time cannot be right: see the field." : "";
}

interface BleedingProps {
  readonly desk: Desk;
  readonly needle: Needle;
  readonly after: TypedAfter;
  readonly onText: (text: string) => void;
}

function Bleeding({ desk, needle, after, onText }: BleedingProps) {
  const name = `after.bleeding.${needle.id}`;
  return (
    <NumberField
      name={name}
      label={`Bleeding stopped, ${nameOf(needle)}`}
      unit="min"
      text={after.bleeding[needle.id] ?? ""}
      onText={onText}
      bound={tables.value?.bounds["bleeding_minutes"]}
      error={textFor(desk.refused.value?.fields, name)}
    />
  );
}
