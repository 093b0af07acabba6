// Where a record has got to: kept on this device, sent, or waiting for the person. It never blocks anything.
import type { SaveState as State } from "../../data/saving";
import { clock } from "../../data/time";

export function SaveState({ state }: { readonly state: State }) {
  return (
    <p class={`save-state ${state.what.replace(" ", "-")}`} role="status">
      {wordsFor(state)}
    </p>
  );
}

function wordsFor(state: State): string {
  if (state.what === "nothing") return "";
  if (state.what === "needs you") return `Needs you: ${state.words}`;
  return state.what === "sent" ? `Sent ${clock(state.at)}` : `Saved here ${clock(state.at)}`;
}
