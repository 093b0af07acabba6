// How soon, as a shape, a word and a time, in ink on ochre: never by colour alone, and the word never without its time.
import type { Urgency as Word } from "../../data/shapes";

const SHAPES: Record<Word, preact.JSX.Element> = {
  stat: <path d="M8 1 15 8 8 15 1 8Z" fill="currentColor" />,
  asap: <path d="M8 2 14 8 8 14 2 8Z" fill="none" stroke="currentColor" stroke-width="2" />,
  urgent: <path d="M8 2.5 14.5 14H1.5Z" fill="none" stroke="currentColor" stroke-width="2" />,
  routine: <circle cx="8" cy="8" r="4" fill="currentColor" />,
};

interface Props {
  readonly urgency: Word;
  readonly time: string;
}

export function Urgency({ urgency, time }: Props) {
  return (
    <span class={`urgency ${urgency}`}>
      <svg viewBox="0 0 16 16" width="14" height="14" aria-hidden="true">
        {SHAPES[urgency]}
      </svg>
      <strong>{urgency}</strong> {time}
    </span>
  );
}
