// The page of one access: what stands open, the map, the measurements, the story, and what may be recorded beside the
// treatments. Drawings and derived numbers are the server's; the page only arranges them.
import { useEffect } from "preact/hooks";
import type { AccessPage } from "../../../data/review-shapes";
import { useLoaded, WhenLoaded } from "../../load";
import { PatientBanner } from "../../parts/PatientBanner";
import { drawnFor, roomy } from "../../width";
import type { ScreenProps } from "../screens";
import { AccessMap } from "./AccessMap";
import { Findings } from "./Findings";
import { Measurements } from "./Measurements";
import { RecordSection } from "./RecordSection";
import { History, NeedleLog, Referrals, Reviews } from "./Story";
import { Together } from "./Together";
import "../../styles/sheet.css";
import "./access.css";

export default function AccessScreen({ params }: ScreenProps) {
  const loaded = useLoaded<AccessPage>(`accesses/${params["id"]}?width=${drawnFor()}`);
  return <WhenLoaded loaded={loaded}>{(page) => <Access page={page} again={loaded.again} />}</WhenLoaded>;
}

export interface AccessProps {
  readonly page: AccessPage;
  readonly again: () => Promise<void>;
}

function Access(props: AccessProps) {
  const { access, patient } = props.page;
  useEffect(() => {
    document.title = `${access.title} · Ropeladder`;
  }, [access.title]);
  const title = access.status === "in use" ? access.title : `${access.title}, ${access.status}`;
  const { arm_notes, isolation, needle_allergies } = patient;
  const mind = [arm_notes, isolation, needle_allergies && `allergic to ${needle_allergies}`].filter(Boolean);
  return (
    <article class="screen">
      <PatientBanner patient={patient} access={title}>
        {mind.length > 0 && <p class="small">Mind: {mind.join("; ")}</p>}
      </PatientBanner>
      {roomy.value ? <Beside {...props} /> : <Below {...props} />}
    </article>
  );
}

// The parts stand in the order in which they are read; where there is room, story and map stand beside the rest.
function Beside(props: AccessProps) {
  const { page } = props;
  return (
    <div class="columns">
      <div class="column">
        <Findings {...props} />
        <Measurements page={page} />
        <Together access={page.access.id} />
      </div>
      <div class="column">
        <AccessMap page={page} />
        <History rows={page.events} />
        <RecordSection {...props} />
        <NeedleLog rows={page.needle_log} />
        <Reviews rows={page.decisions} />
        <Referrals rows={page.referrals} />
      </div>
    </div>
  );
}

function Below(props: AccessProps) {
  const { page } = props;
  return (
    <div class="column">
      <Findings {...props} />
      <AccessMap page={page} />
      <Measurements page={page} />
      <Together access={page.access.id} />
      <History rows={page.events} />
      <RecordSection {...props} />
      <NeedleLog rows={page.needle_log} />
      <Reviews rows={page.decisions} />
      <Referrals rows={page.referrals} />
    </div>
  );
}
