// A form whose typing is kept on the device at once and comes back after a reload, until the server has answered for
// it or the person takes it back. It sends nothing.
import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { draftOf, drafts, takeBack } from "../data/drafts";
import { keepTyped, type SaveState, stateFrom, stateOf, waiting } from "../data/saving";
import { session } from "../data/session";

export type Texts = Readonly<Record<string, string>>;

export interface KeptForm<T extends Texts> {
  readonly texts: Signal<T>;
  readonly state: Signal<SaveState>;
  readonly change: (changed: Partial<T>) => void;
  /** The server has answered for all of it, or the person took it back. */
  readonly done: (sent?: boolean) => void;
}

export const FORM = "form";
const NOTHING = { version: "new", document: null } as const;

/** Takes what was kept of a form off the device. */
export async function dropKept(id: string): Promise<void> {
  await takeBack(id, [FORM]);
  waiting.value = (await drafts()).length;
}

export function useKept<T extends Texts>(id: string, empty: T): KeptForm<T> {
  const texts = useSignal(empty);
  const touched = useSignal(false);
  useEffect(() => {
    let here = true;
    void draftOf(id).then((draft) => {
      if (!here || touched.peek() || !draft) return;
      texts.value = { ...empty, ...(draft.parts[FORM]?.value as Partial<T> | undefined) };
      stateOf(id).value = stateFrom(draft);
    });
    return () => {
      here = false;
    };
  }, [id]);
  return {
    texts,
    state: stateOf(id),
    change(changed) {
      touched.value = true;
      texts.value = { ...texts.value, ...changed };
      const author = session.value?.user?.id ?? "";
      void keepTyped(id, { [FORM]: texts.value }, { kind: "forms", author, base: NOTHING });
    },
    done(sent = true) {
      touched.value = true;
      texts.value = empty;
      const at = new Date().toISOString();
      void dropKept(id).then(() => {
        stateOf(id).value = sent ? { what: "sent", at } : { what: "nothing" };
      });
    },
  };
}
