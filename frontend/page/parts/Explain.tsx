// A derived number that explains itself: inputs, formula in words, source, and how sure it is, one tap away.
interface Props {
  readonly label: string;
  readonly value: string;
  readonly inputs?: readonly (readonly [name: string, value: string])[] | undefined;
  readonly formula: string;
  readonly source: string;
  readonly doubt: string;
}

export function Explain({ label, value, inputs = [], formula, source, doubt }: Props) {
  return (
    <div class="explain">
      <p class="explain-value">
        <span class="soft">{label}</span> <strong>{value}</strong>
      </p>
      <details>
        <summary>How it is worked out</summary>
        <dl class="pairs">
          {inputs.map(([name, given]) => (
            <Pair key={name} name={name} value={given} />
          ))}
          <Pair name="Formula" value={formula} />
          <Pair name="Source" value={source} />
          <Pair name="How sure" value={doubt} />
        </dl>
      </details>
    </div>
  );
}

export function Pair({ name, value }: { readonly name: string; readonly value: string }) {
  if (!value) return null;
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
