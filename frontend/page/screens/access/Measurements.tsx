// What was measured: the charts that the server drew, each with its table, and the recirculation tests.
import type { AccessPage } from "../../../data/review-shapes";
import { Readings } from "../../parts/Evidence";
import { Section } from "../../parts/Section";
import { ServerFigure } from "../../parts/ServerFigure";

export function Measurements({ page }: { readonly page: AccessPage }) {
  return (
    <>
      <Section id="measurements" title="Measurements">
        {page.charts.length === 0 && <p class="soft">Nothing was measured yet.</p>}
        {page.charts.map(({ id, title, svg, table }) => (
          <ServerFigure key={id} svg={svg} title={title} table={table} />
        ))}
      </Section>
      <Section id="recirculation" title="Recirculation">
        {page.recirculations.length === 0 && <p class="soft">No test was made yet.</p>}
        <Readings rows={page.recirculations} />
      </Section>
    </>
  );
}
