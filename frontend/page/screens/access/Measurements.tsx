// What was measured: the charts that the server drew, each with its table, and the recirculation tests.
import type { AccessPage } from "../../../data/review-shapes";
import { Readings } from "../../parts/Evidence";
import { Section } from "../../parts/Section";
import { ServerFigure } from "../../parts/ServerFigure";
import { WorkedOut } from "../../parts/WorkedOut";

export function Measurements({ page }: { readonly page: AccessPage }) {
  return (
    <>
      <Section id="measurements" title="Measurements">
        {page.charts.length === 0 && <p class="soft">Nothing was measured yet.</p>}
        {page.charts.map((chart) => (
          <ServerFigure key={chart.id} {...chart} />
        ))}
      </Section>
      <Section id="recirculation" title="Recirculation">
        {page.recirculations.length === 0 && <p class="soft">No test was made yet.</p>}
        {page.recirculations.map((test) => (
          <div key={test.at}>
            <Readings rows={[test]} />
            <WorkedOut worked={test.worked} />
          </div>
        ))}
      </Section>
    </>
  );
}
