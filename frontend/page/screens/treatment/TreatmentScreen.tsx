// One treatment: who, what is ordered, what stands open, and the four parts in the order of the work. Each part is
// saved alone, in any order; nothing measured is filled in beforehand.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { tables } from "../../../data/lookups";
import type { Problem } from "../../../data/problem";
import { stateOf } from "../../../data/saving";
import { accessOf } from "../../../data/treatment";
import { ErrorSummary } from "../../parts/ErrorSummary";
import { FlagLine } from "../../parts/FlagLine";
import { fetchDrawing } from "../../parts/geometries";
import { PatientBanner } from "../../parts/PatientBanner";
import { SaveState } from "../../parts/SaveState";
import type { ScreenProps } from "../screens";
import { AfterPart } from "./AfterPart";
import { Choosing } from "./Choosing";
import { type Desk, openDesk, troubleOf } from "./desk";
import { ExaminationPart } from "./ExaminationPart";
import { Frame } from "./Frame";
import { NeedlesPart } from "./NeedlesPart";
import { Asks, PossiblySame } from "./Notes";
import { PartsBar } from "./PartsBar";
import { PressuresPart } from "./PressuresPart";
import { StopInSight, StopWatch } from "./StopWatch";
import "./treatment.css";

export function TreatmentScreen({ params }: ScreenProps) {
  const id = params["id"] ?? "";
  const desk = useSignal<Desk | null>(null);
  const trouble = useSignal<Problem | "out of reach" | null>(null);
  const tries = useSignal(0);

  useEffect(() => {
    let opened: Desk | undefined;
    let left = false;
    openWithDrawings(id).then(
      (ready) => {
        if (left) ready.close();
        else {
          opened = ready;
          desk.value = ready;
        }
      },
      (fault: unknown) => {
        trouble.value = troubleOf(fault);
      },
    );
    return () => {
      left = true;
      opened?.close();
    };
  }, [id, tries.value]);

  if (desk.value && tables.value) return <Opened desk={desk.value} />;
  if (!trouble.value) return <p class="soft">One moment …</p>;
  const problem = trouble.value === "out of reach" ? null : trouble.value;
  return (
    <section class="screen">
      <h1>{problem ? "Not opened" : "No connection"}</h1>
      <p>{problem?.words ?? "The server cannot be reached. What was entered here is kept on this device."}</p>
      <p>
        <button
          type="button"
          class="main"
          onClick={() => {
            trouble.value = null;
            tries.value += 1;
          }}
        >
          Try again
        </button>
      </p>
    </section>
  );
}

async function openWithDrawings(id: string): Promise<Desk> {
  const ready = await openDesk(id);
  await Promise.all(ready.page.value.accesses.map(({ configuration }) => fetchDrawing(configuration)));
  return ready;
}

function Opened({ desk }: { readonly desk: Desk }) {
  const { patient, flags, accesses, asks, possibly_same } = desk.page.value;
  const pack = accessOf(accesses, desk.typed.value.access);
  const refused = desk.refused.value;
  useEffect(() => {
    document.title = `${patient.name} · Ropeladder`;
  }, [patient.name]);
  return (
    <article class="screen treatment">
      <PatientBanner patient={patient} access={pack?.title}>
        {pack && <StopInSight desk={desk} pack={pack} />}
        <SaveState state={stateOf(desk.id).value} />
      </PatientBanner>
      {refused?.status === 409 ? (
        <Choosing desk={desk} refused={refused} />
      ) : (
        refused && <ErrorSummary words={refused.words} fields={refused.fields} />
      )}
      {possibly_same && <PossiblySame desk={desk} />}
      <Asks asks={asks} />
      <div class="margin">
        <Frame desk={desk} pack={pack} />
        {flags.length > 0 && (
          <section aria-labelledby="open-findings">
            <h2 id="open-findings">Open findings</h2>
            {flags.map((flag) => (
              <FlagLine key={flag.id} flag={flag} />
            ))}
          </section>
        )}
      </div>
      {pack ? (
        <>
          <StopWatch desk={desk} pack={pack} />
          <ExaminationPart desk={desk} pack={pack} />
          <NeedlesPart desk={desk} pack={pack} />
          <PressuresPart desk={desk} pack={pack} />
          <AfterPart desk={desk} />
          <PartsBar desk={desk} pack={pack} />
        </>
      ) : (
        <p>No access is recorded for this patient, so there is nothing to examine or to needle.</p>
      )}
    </article>
  );
}
