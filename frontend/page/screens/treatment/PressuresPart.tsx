// The pressures, read together at one minute. Every field starts empty; only the minute comes from the clock, and it
// can be changed. Beside each pressure stand the access's own usual band and its last six values.
import { useSignal } from "@preact/signals";
import { numberOf, remarkOn, tables } from "../../../data/lookups";
import { clinic } from "../../../data/session";
import type { AccessPack, PressureReading } from "../../../data/shapes";
import { minutesBetween } from "../../../data/time";
import {
  needleIn,
  newReading,
  type Quantity,
  readingFrom,
  type TypedReading,
  typedReading,
} from "../../../data/treatment";
import { uuid7 } from "../../../data/uuid7";
import { type Banded, type Outside, toAsk } from "./bands";
import type { Desk } from "./desk";
import { Field } from "./ExaminationPart";
import { Part, SavePart } from "./Part";
import { ReadingForm } from "./ReadingForm";
import { Readings } from "./Readings";
import { RuleOut } from "./RuleOut";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack;
}

export const BOUND_OF: Readonly<Partial<Record<Quantity, string>>> = {
  post_pump_mmhg: "venous_mmhg",
  arterial_static_mmhg: "static_mmhg",
  venous_static_mmhg: "static_mmhg",
  arterial_height_cm: "height_cm",
  venous_height_cm: "height_cm",
};

export function PressuresPart({ desk, pack }: Props) {
  const asking = useSignal<{ readonly reading: PressureReading; readonly outside: readonly Outside[] } | null>(null);
  const { pressures, needles } = desk.document.value;
  const typed = desk.typed.value.reading ?? newReading("");
  const gauges: Record<Banded, number | null> = {
    pre_pump_arterial_mmhg: needleIn(needles, "arterial")?.gauge ?? null,
    venous_mmhg: needleIn(needles, "venous")?.gauge ?? null,
  };
  const minute = typed.texts["minute"] ?? minuteNow(desk);

  function change(changed: Partial<TypedReading>): void {
    desk.change({ reading: { ...typed, id: typed.id || uuid7(), ...changed } });
  }

  function keepReading(): void {
    const whole = { ...typed, id: typed.id || uuid7(), texts: { ...typed.texts, minute } };
    const reading = readingFrom(whole, new Date().toISOString(), clinic.value?.height_formula ?? "");
    const earlier = pressures.filter(({ id }) => id !== reading.id);
    const outside = toAsk(reading, earlier, pack, gauges);
    if (outside.length > 0) asking.value = { reading, outside };
    const others = (desk.typed.value.pressures ?? []).filter(({ id }) => id !== reading.id);
    desk.change({ pressures: [...others, reading] });
    desk.drop("reading");
  }

  return (
    <Part id="pressures" number={3} title="Pressures">
      {pressures.length > 0 && (
        <Readings
          pressures={pressures}
          fields={desk.refused.value?.fields}
          onChange={(reading) => desk.change({ reading: typedReading(reading) })}
        />
      )}
      {asking.value && (
        <RuleOut
          outside={asking.value.outside}
          onAgain={() => {
            const repeats = asking.value?.reading.id ?? null;
            asking.value = null;
            desk.change({ reading: newReading(uuid7(), repeats) });
          }}
          onLeave={() => {
            asking.value = null;
          }}
        />
      )}
      <ReadingForm
        desk={desk}
        pack={pack}
        typed={typed}
        minute={minute}
        gauges={gauges}
        first={pressures.length === 0}
        onChange={change}
      />
      <SavePart
        desk={desk}
        parts={["pressures", "examination"]}
        label={typed.measured_at ? "Save the corrected reading" : "Save this reading"}
        obstacle={obstacleFor(typed, minute)}
        before={keepReading}
      />
      <Field desk={desk} pack={pack} field="circuit" />
    </Part>
  );
}

function minuteNow(desk: Desk): string {
  const { started_at } = desk.document.value.frame;
  if (!started_at) return "";
  return String(Math.max(0, minutesBetween(started_at, new Date())));
}

function obstacleFor({ texts }: TypedReading, minute: string): string {
  const bounds = tables.value?.bounds ?? {};
  const typed = Object.entries(texts).filter(([name, text]) => name !== "minute" && numberOf(text) !== null);
  if (typed.length === 0) return "Nothing has been read yet.";
  const all: [string, string][] = [...typed, ["minute", minute]];
  const refused = all.some(
    ([name, text]) => remarkOn(text, bounds[BOUND_OF[name as Quantity] ?? name])?.weight === "refuse",
  );
  if (refused) return "One number cannot be right: see its field.";
  return minute.trim() === "" ? "Say at which minute it was read." : "";
}
