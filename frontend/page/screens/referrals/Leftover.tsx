// What was typed for a step that can no longer be taken, as when somebody else took one first: shown so that it is not
// lost, and taken away only by the person who reads it.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { draftOf } from "../../../data/drafts";
import { dropKept, FORM, type Texts } from "../../kept";

export function Leftover({ id }: { readonly id: string }) {
  const text = useSignal("");
  useEffect(() => {
    void draftOf(id).then((draft) => {
      const texts = (draft?.parts[FORM]?.value ?? {}) as Texts;
      text.value = Object.values(texts).filter(Boolean).join("; ");
    });
  }, [id, text]);
  if (!text.value) return null;
  return (
    <div class="said">
      <p>Typed here and not sent: {text.value}</p>
      <button
        type="button"
        onClick={() => {
          text.value = "";
          void dropKept(id);
        }}
      >
        Take it away
      </button>
    </div>
  );
}
