// The three-sample draw as a guided run: what to do now and what comes next, a big count-down for the slow flow, the
// screen kept awake. Each step notes its own time, so that a wrong order cannot be entered by tapping along.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { TestRecord } from "./record";

const SLOW_ML_MIN = 120;
const SLOW_SECONDS = 10;

interface Step {
  readonly now: string;
  readonly done: string;
  readonly note: (record: TestRecord) => void;
}

// The order of the draw: Kapoian et al., Kidney Int 1997;52:839; dialysate left running, one run: KDOQI 2000, from memory.
const STEPS: readonly Step[] = [
  {
    now: "About 30 minutes into the treatment: ultrafiltration off, dialysate running, pump steady at its usual speed.",
    done: "Ultrafiltration is off",
    note: (record) => record.change({ ultrafiltration_off: true, measured_at: new Date().toISOString() }),
  },
  {
    now: "Draw A from the arterial and V from the venous line, together.",
    done: "A and V are drawn",
    note: (record) => noteTime(record, "arterial_venous_drawn_at"),
  },
  {
    now: `At once set the pump to ${SLOW_ML_MIN} mL/min. Exactly ${SLOW_SECONDS} seconds.`,
    done: `Pump is at ${SLOW_ML_MIN}: count down`,
    note: () => undefined,
  },
  {
    now: "Stop the pump. Clamp the arterial line above its port. Draw S there.",
    done: "S is drawn",
    note: (record) => {
      noteTime(record, "systemic_drawn_at");
      const { texts, words } = record.form.value;
      const slow = { slow_flow_ml_min: String(SLOW_ML_MIN), slow_flow_seconds: String(SLOW_SECONDS) };
      const site = { systemic_site: "arterial line after slow flow" };
      record.change({ texts: { ...texts, ...slow }, words: { ...words, ...site } });
    },
  },
];
const LAST = "Unclamp and go on. All three samples go to one laboratory in one run.";

function noteTime(record: TestRecord, name: string): void {
  record.change({ moments: { ...record.form.value.moments, [name]: new Date().toISOString() } });
}

export function GuidedDraw({ record, onEnd }: { readonly record: TestRecord; readonly onEnd: () => void }) {
  const at = useSignal(0);
  const left = useSignal<number | null>(null);
  useAwake();
  useEffect(() => {
    if (left.value === null || left.value <= 0) return;
    const timer = setTimeout(() => {
      left.value = (left.value ?? 1) - 1;
      if (left.value === 0) {
        navigator.vibrate?.(400);
        at.value += 1;
      }
    }, 1000);
    return () => clearTimeout(timer);
  }, [left.value, at, left]);

  const step = STEPS[at.value];
  const counting = left.value !== null && left.value > 0;

  function done(): void {
    step?.note(record);
    if (at.value === 2) left.value = SLOW_SECONDS;
    else at.value += 1;
  }

  return (
    <section class="guided" aria-label="Guided draw">
      <p class="soft">
        Step {Math.min(at.value + 1, STEPS.length)} of {STEPS.length}
      </p>
      <p class="guided-now" role="status">
        {step ? step.now : LAST}
      </p>
      {counting ? (
        <p class="guided-count" role="timer" aria-label={`${left.value} seconds left`}>
          {left.value}
        </p>
      ) : (
        <button type="button" class="main wide" onClick={step ? done : onEnd}>
          {step ? step.done : "Go on to the record"}
        </button>
      )}
      {step && <p class="small soft">Next: {STEPS[at.value + 1]?.now ?? LAST}</p>}
      <button type="button" class="plain" onClick={onEnd}>
        Leave the guided draw
      </button>
    </section>
  );
}

/** Keeps the screen on while this is shown, where the browser can. */
function useAwake(): void {
  useEffect(() => {
    let lock: WakeLockSentinel | undefined;
    const ask = () => {
      if (document.visibilityState !== "visible") return;
      navigator.wakeLock?.request("screen").then(
        (given) => {
          lock = given;
        },
        () => undefined,
      );
    };
    ask();
    document.addEventListener("visibilitychange", ask);
    return () => {
      document.removeEventListener("visibilitychange", ask);
      void lock?.release();
    };
  }, []);
}
