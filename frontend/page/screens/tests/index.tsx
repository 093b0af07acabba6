// The timed tests of one patient: recirculation from three samples and access flow by each method, new or begun, and
// those that still wait for the laboratory.
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { tables } from "../../../data/lookups";
import { clinic } from "../../../data/session";
import type { AccessTitle, Patient } from "../../../data/shapes";
import { newForm } from "../../../data/test-forms";
import { dayAndClock } from "../../../data/time";
import { useLoaded, WhenLoaded } from "../../load";
import { FlagLine } from "../../parts/FlagLine";
import { PatientBanner } from "../../parts/PatientBanner";
import { asked } from "../../router";
import type { ScreenProps } from "../screens";
import { FlowTest } from "./FlowTest";
import { RecirculationTest } from "./RecirculationTest";
import { type Kind, openNew, openStored, type TestRecord } from "./record";
import "./tests.css";

interface Listed {
  readonly subject: string;
  readonly id: string;
  readonly measured_at: string;
  readonly text: string;
}

interface PatientTests {
  readonly patient: Patient;
  readonly accesses: readonly AccessTitle[];
  readonly waiting: readonly Listed[];
  readonly recent: readonly Listed[];
}

export default function TestsScreen({ params }: ScreenProps) {
  const loaded = useLoaded<PatientTests>(`patients/${params["id"] ?? ""}/tests`);
  return <WhenLoaded loaded={loaded}>{(tests) => <Tests tests={tests} />}</WhenLoaded>;
}

function Tests({ tests }: { readonly tests: PatientTests }) {
  const { patient, accesses, waiting, recent } = tests;
  const record = useSignal<TestRecord | null>(null);
  const trouble = useSignal("");
  const access =
    accesses.find(({ id }) => id === asked("access")) ??
    accesses.find(({ status }) => status === "in use") ??
    accesses[0];

  useEffect(() => {
    document.title = `Tests, ${patient.name} · Ropeladder`;
  }, [patient.name]);

  async function open(opening: Promise<TestRecord>): Promise<void> {
    trouble.value = "";
    try {
      record.value = await opening;
    } catch {
      trouble.value = "It could not be opened. Try again when there is a connection.";
    }
  }

  function begin(kind: Kind): void {
    const about = {
      patient: patient.id,
      access: access?.id ?? "",
      treatment: asked("treatment"),
      measured_at: new Date().toISOString(),
    };
    void open(openNew(kind, newForm(about, clinic.value?.urea_unit ?? "mg/dL")));
  }

  if (!tables.value) return <p class="soft">One moment …</p>;
  return (
    <article class="screen tests">
      <PatientBanner patient={patient} access={access?.title} />
      <p class="choice-row">
        <button type="button" onClick={() => begin("recirculations")}>
          Recirculation test
        </button>
        <button type="button" onClick={() => begin("flows")}>
          Access flow
        </button>
      </p>
      {trouble.value && <p class="said refuse">{trouble.value}</p>}
      {record.value?.kind === "recirculations" && (
        <RecirculationTest key={record.value.id} record={record.value} accesses={accesses} />
      )}
      {record.value?.kind === "flows" && <FlowTest key={record.value.id} record={record.value} accesses={accesses} />}
      <div role="status">
        {record.value?.flags.value.map((flag) => (
          <FlagLine key={flag.id} flag={flag} />
        ))}
      </div>
      <List title="Waits for the laboratory" rows={waiting} onOpen={(kind, id) => void open(openStored(kind, id))} />
      <List title="Last found" rows={recent} onOpen={(kind, id) => void open(openStored(kind, id))} />
    </article>
  );
}

interface ListProps {
  readonly title: string;
  readonly rows: readonly Listed[];
  readonly onOpen: (kind: Kind, id: string) => void;
}

const KINDS: Readonly<Record<string, Kind>> = { recirculation: "recirculations", flow: "flows" };

function List({ title, rows, onOpen }: ListProps) {
  if (rows.length === 0) return null;
  return (
    <section>
      <h2>{title}</h2>
      <ul class="tests-list">
        {rows.map(({ subject, id, measured_at, text }) => {
          const kind = KINDS[subject];
          return (
            <li key={id}>
              <span>
                <span class="soft">{dayAndClock(measured_at)}</span> {text}
              </span>
              {kind && (
                <button type="button" onClick={() => onOpen(kind, id)}>
                  Open
                </button>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
