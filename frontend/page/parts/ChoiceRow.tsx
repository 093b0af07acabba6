// One question with a few answers as big buttons; underneath they are plain radio buttons, so keys and screen readers
// work. No answer is chosen beforehand. A second tap on the chosen answer takes it back.
import { useSignal } from "@preact/signals";

interface Props {
  readonly name: string;
  readonly label: string;
  readonly options: readonly string[];
  readonly value: string | undefined;
  readonly onValue: (value: string | undefined) => void;
  readonly hint?: string | undefined;
  readonly error?: string | undefined;
  /** How an answer reads where the stored word is too short by itself. */
  readonly wordFor?: ((option: string) => string) | undefined;
  /** With many answers: only the first stands there, until something else is asked for or chosen. */
  readonly fold?: boolean | undefined;
}

export function ChoiceRow({ name, label, options, value, onValue, hint, error, wordFor, fold }: Props) {
  const id = `f-${name}`;
  const unfolded = useSignal(false);
  const folded = fold && !unfolded.value && (value === undefined || value === options[0]);
  return (
    <fieldset class="choice" id={id} aria-describedby={hint || error ? `${id}-said` : undefined}>
      <legend>{label}</legend>
      <div class="choice-row">
        {(folded ? options.slice(0, 1) : options).map((option) => (
          <label key={option}>
            <input
              type="radio"
              name={id}
              value={option}
              checked={value === option}
              onChange={() => onValue(option)}
              onClick={() => value === option && onValue(undefined)}
            />
            <span>{wordFor?.(option) ?? option}</span>
          </label>
        ))}
        {folded && (
          <button
            type="button"
            onClick={() => {
              unfolded.value = true;
            }}
          >
            Something else
          </button>
        )}
      </div>
      {(error ?? hint) && (
        <p id={`${id}-said`} class={`said ${error ? "refuse" : ""}`}>
          {error ?? hint}
        </p>
      )}
    </fieldset>
  );
}
