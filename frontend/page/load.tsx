// Reads one address of the API for a screen and says what came of it. It keeps the last answer in sight while it asks
// again, and lets go when the screen closes.
import { type Signal, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useCallback, useEffect } from "preact/hooks";
import { get } from "../data/api";
import { Problem } from "../data/problem";

export interface Loaded<T> {
  readonly data: Signal<T | null>;
  readonly trouble: Signal<Problem | "out of reach" | null>;
  readonly again: () => Promise<void>;
}

export function useLoaded<T>(path: string): Loaded<T> {
  const data = useSignal<T | null>(null);
  const trouble = useSignal<Problem | "out of reach" | null>(null);
  const again = useCallback(
    async (given?: AbortSignal): Promise<void> => {
      try {
        data.value = await get<T>(path, given);
        trouble.value = null;
      } catch (fault) {
        if (given?.aborted) return;
        trouble.value = fault instanceof Problem ? fault : "out of reach";
      }
    },
    [path, data, trouble],
  );
  useEffect(() => {
    const closing = new AbortController();
    data.value = null;
    void again(closing.signal);
    return () => closing.abort();
  }, [again, data]);
  return { data, trouble, again };
}

interface Props<T> {
  readonly loaded: Loaded<T>;
  readonly children: (data: T) => ComponentChildren;
}

/** Shows what was loaded, or says in words why there is nothing. */
export function WhenLoaded<T>({ loaded, children }: Props<T>) {
  const { data, trouble, again } = loaded;
  if (data.value !== null) return <>{children(data.value)}</>;
  if (trouble.value === null) return <p class="soft">One moment …</p>;
  const problem = trouble.value === "out of reach" ? null : trouble.value;
  return (
    <section class="screen">
      <h1>{problem ? "Not found here" : "No connection"}</h1>
      <p>{problem ? problem.words : "The server cannot be reached. What was entered here is kept."}</p>
      <p>
        <button type="button" class="main" onClick={() => void again()}>
          Try again
        </button>
      </p>
    </section>
  );
}
