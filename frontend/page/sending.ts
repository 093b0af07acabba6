// One step that a person takes (a decision, a closed flag): under way or not, and what came back instead of an answer.
// Nothing typed goes by a failed step, and nothing is sent twice by itself.
import { type Signal, useSignal } from "@preact/signals";
import { call } from "../data/api";
import { Problem } from "../data/problem";

export interface Sending {
  readonly busy: Signal<boolean>;
  readonly problem: Signal<Problem | null>;
  /** Takes the step; the answer, or null when there was a problem. */
  readonly step: <T>(method: "POST" | "PUT", path: string, body?: unknown) => Promise<T | null>;
}

const NO_ANSWER = "The server cannot be reached. What you typed is kept here; try again.";

export function useSending(): Sending {
  const busy = useSignal(false);
  const problem = useSignal<Problem | null>(null);
  return {
    busy,
    problem,
    async step<T>(method: "POST" | "PUT", path: string, body: unknown = {}): Promise<T | null> {
      if (busy.value) return null;
      busy.value = true;
      problem.value = null;
      try {
        return (await call<T>(path, { method, body })).data;
      } catch (fault) {
        problem.value = fault instanceof Problem ? fault : new Problem(0, { detail: NO_ANSWER });
        return null;
      } finally {
        busy.value = false;
      }
    },
  };
}
