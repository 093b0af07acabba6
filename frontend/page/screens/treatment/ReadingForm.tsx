// The fields of one reading, in the order in which the eye goes over the machine: circuit, pump, arterial, venous,
// blood pressure. Static pressures are an add-on. A field is left by itself after three digits.
import { numberOf, tables } from "../../../data/lookups";
import type { AccessPack } from "../../../data/shapes";
import type { Quantity, TypedReading } from "../../../data/treatment";
import { ChoiceRow } from "../../parts/ChoiceRow";
import { textFor } from "../../parts/ErrorSummary";
import { NumberField } from "../../parts/NumberField";
import { UsualBand } from "../../parts/UsualBand";
import { type Banded, bandFor } from "./bands";
import type { Desk } from "./desk";
import { BOUND_OF } from "./PressuresPart";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack;
  readonly typed: TypedReading;
  readonly minute: string;
  readonly gauges: Readonly<Record<Banded, number | null>>;
  readonly first: boolean;
  readonly onChange: (changed: Partial<TypedReading>) => void;
}

interface FieldOf {
  readonly name: Quantity;
  readonly label: string;
  readonly unit: string;
  readonly sign?: "−";
  readonly digits?: number;
}

const MAIN: readonly FieldOf[] = [
  { name: "pump_ml_min", label: "Pump speed", unit: "mL/min", digits: 3 },
  { name: "pre_pump_arterial_mmhg", label: "Arterial, before the pump", unit: "mmHg", sign: "−", digits: 3 },
  { name: "venous_mmhg", label: "Venous", unit: "mmHg", digits: 3 },
  { name: "systolic_mmhg", label: "Blood pressure, upper", unit: "mmHg", digits: 3 },
  { name: "diastolic_mmhg", label: "Blood pressure, lower", unit: "mmHg", digits: 3 },
];

const STATIC: readonly FieldOf[] = [
  { name: "arterial_static_mmhg", label: "Arterial, pump off", unit: "mmHg" },
  { name: "arterial_height_cm", label: "Arterial chamber above the access", unit: "cm" },
  { name: "venous_static_mmhg", label: "Venous, pump off", unit: "mmHg" },
  { name: "venous_height_cm", label: "Venous chamber above the access", unit: "cm" },
];

export function ReadingForm(props: Props) {
  const { desk, typed, minute, first, onChange } = props;
  const limbs = tables.value?.words["limbs"] ?? [];
  const { arm_notes } = desk.page.value.patient;
  return (
    <>
      {typed.repeats && <p class="small soft">A second reading; the first one stays beside it.</p>}
      {first && (
        <label class="tick">
          <input
            type="checkbox"
            checked={typed.circuit_checked}
            onChange={(event) => onChange({ circuit_checked: event.currentTarget.checked })}
          />
          <span>
            Circuit checked{" "}
            <span class="small soft">
              pressure lines connected and dry, chamber level, no kink, clamps as they should be
            </span>
          </span>
        </label>
      )}
      <div class="numbers">
        {MAIN.map((field) => (
          <One key={field.name} {...props} field={field} />
        ))}
        <NumberField
          name="pressures.minute"
          label="Minute"
          unit="min since the start"
          text={minute}
          onText={(text) => onChange({ texts: { ...typed.texts, minute: text } })}
          bound={tables.value?.bounds["minute"]}
        />
      </div>
      <details>
        <summary>Where the blood pressure was taken; pump off; after the pump</summary>
        <div class="fields">
          <ChoiceRow
            name="pressures.cuff_limb"
            label="Cuff on"
            options={limbs}
            value={typed.cuff_limb || undefined}
            onValue={(cuff_limb = "") => onChange({ cuff_limb })}
            hint={arm_notes || undefined}
          />
          <One {...props} field={{ name: "post_pump_mmhg", label: "After the pump", unit: "mmHg" }} />
          <p class="small soft">
            Pump off: stop the pump, clamp the line between dialyzer and venous chamber, read after 30 seconds.
          </p>
          <div class="numbers">
            {STATIC.map((field) => (
              <One key={field.name} {...props} field={field} />
            ))}
          </div>
        </div>
      </details>
    </>
  );
}

function One({ desk, pack, typed, gauges, onChange, field }: Props & { readonly field: FieldOf }) {
  const { name } = field;
  const index = desk.document.value.pressures.findIndex(({ id }) => id === typed.id);
  const banded = name === "pre_pump_arterial_mmhg" || name === "venous_mmhg" ? name : null;
  const pump = numberOf(typed.texts["pump_ml_min"] ?? "");
  const band = banded && bandFor(pack, banded, gauges[banded], pump);
  return (
    <NumberField
      name={`pressures.${name}`}
      label={field.label}
      unit={field.unit}
      sign={field.sign}
      digits={field.digits}
      text={typed.texts[name] ?? ""}
      onText={(text) => onChange({ texts: { ...typed.texts, [name]: text } })}
      bound={tables.value?.bounds[BOUND_OF[name] ?? name]}
      error={textFor(desk.refused.value?.fields, `pressures.${index}.${name}`)}
    >
      {band && <UsualBand band={band} value={numberOf(typed.texts[name] ?? "")} />}
    </NumberField>
  );
}
