// The map of the access as the server drew it, and in words what is to be minded along it.
import { dayOf } from "../../../data/days";
import type { AccessPage } from "../../../data/review-shapes";
import { Section } from "../../parts/Section";
import { ServerFigure } from "../../parts/ServerFigure";

export function AccessMap({ page }: { readonly page: AccessPage }) {
  const { map, access } = page;
  return (
    <Section id="map" title="Map" class="map">
      {access.holds.map(({ why, since, until }) => (
        <p key={why + since} class="minded">
          <strong>Not to be needled: {why}</strong>, since {dayOf(since)}
          {until && ` until ${dayOf(until)}`}
        </p>
      ))}
      <ServerFigure svg={map.svg} title="Sites of the last twelve weeks" />
      {access.zones.length > 0 && (
        <ul class="dated">
          {access.zones.map(({ id, from_cm, to_cm, why, action, since }) => (
            <li key={id}>
              <strong>
                {action} {from_cm} to {to_cm} cm
              </strong>
              <span>
                {why}, since {dayOf(since)}
              </span>
            </li>
          ))}
        </ul>
      )}
    </Section>
  );
}
