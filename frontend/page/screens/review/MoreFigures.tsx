// All charts and the map of an access, fetched when they are asked for; once opened they stay open down the list.
import { signal } from "@preact/signals";
import type { AccessPage } from "../../../data/review-shapes";
import { useLoaded, WhenLoaded } from "../../load";
import { ServerFigure } from "../../parts/ServerFigure";

const opened = signal(false);

export function MoreFigures({ access }: { readonly access: string }) {
  return (
    <details
      open={opened.value}
      onToggle={(event) => {
        opened.value = event.currentTarget.open;
      }}
    >
      <summary>All charts and the map</summary>
      {opened.value && <Figures access={access} />}
    </details>
  );
}

function Figures({ access }: { readonly access: string }) {
  const loaded = useLoaded<AccessPage>(`accesses/${access}?width=narrow`);
  return (
    <WhenLoaded loaded={loaded}>
      {({ charts, map }) => (
        <div class="figures">
          {charts.map((chart) => (
            <ServerFigure key={chart.id} {...chart} />
          ))}
          <ServerFigure svg={map.svg} title={map.title} />
        </div>
      )}
    </WhenLoaded>
  );
}
