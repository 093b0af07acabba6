// The readings of this treatment so far, as a small table; both stay where one was read again. Each can be corrected
// under its own id, and what the server refused stands under the table.
import { shown } from "../../../data/lookups";
import type { FieldProblem } from "../../../data/problem";
import type { PressureReading } from "../../../data/shapes";

interface Props {
  readonly pressures: readonly PressureReading[];
  readonly fields: readonly FieldProblem[] | undefined;
  readonly onChange: (reading: PressureReading) => void;
}

const HEADS = ["Minute", "Pump mL/min", "Arterial mmHg", "Venous mmHg", "Blood pressure mmHg", "Pump off A / V mmHg"];

export function Readings({ pressures, fields = [], onChange }: Props) {
  const refused = fields.filter(({ field }) => field.startsWith("pressures."));
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by key. */}
      <section class="scrolls" tabIndex={0} aria-label="Readings so far">
        <table>
          <thead>
            <tr>
              {HEADS.map((head) => (
                <th key={head} scope="col">
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {pressures.map((one) => (
              <Row key={one.id} one={one} onChange={onChange} />
            ))}
          </tbody>
        </table>
      </section>
      {refused.map(({ field, text }) => (
        <p key={field} class="said refuse">
          {text}
        </p>
      ))}
    </>
  );
}

function Row({ one, onChange }: { readonly one: PressureReading } & Pick<Props, "onChange">) {
  const minute = shown(one.minute);
  return (
    <tr>
      <td>
        <button
          type="button"
          class="plain"
          aria-label={`${minute}: correct this reading`}
          onClick={() => onChange(one)}
        >
          {minute}
        </button>
        {one.repeats && " again"}
      </td>
      <td>{shown(one.pump_ml_min)}</td>
      <td>{shown(one.pre_pump_arterial_mmhg)}</td>
      <td>{shown(one.venous_mmhg)}</td>
      <td>
        {shown(one.systolic_mmhg)} / {shown(one.diastolic_mmhg)}
      </td>
      <td>
        {shown(one.arterial_static_mmhg)} / {shown(one.venous_static_mmhg)}
      </td>
    </tr>
  );
}
