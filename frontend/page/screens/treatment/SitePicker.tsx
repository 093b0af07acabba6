// Choosing the needle sites: the map with the pair on it, half-centimetre steps, the distances, and after the pair is
// accepted the skin at each site. Letters and centimetres name a place, never colour alone.
import { useSignal } from "@preact/signals";
import { shown, tables } from "../../../data/lookups";
import type { AccessPack, Role } from "../../../data/shapes";
import { MapDrawing } from "../../parts/AccessMap";
import { ChoiceRow } from "../../parts/ChoiceRow";
import type { Sites } from "../../parts/map-frame";
import { TextField } from "../../parts/TextField";
import type { Desk } from "./desk";
import { gapCm, LETTER, moved, nearestCm, ROLES, restOf, type Site, type SitePlan, withSite } from "./sites";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack;
  readonly plan: SitePlan;
  readonly sentences: readonly string[];
}

export function SitePicker({ desk, pack, plan, sentences }: Props) {
  const change = (changed: SitePlan) => desk.change({ plan: changed });
  const roles = ROLES.filter((role) => plan.sites[role]);
  const active = useSignal<Role>(roles[0] ?? "arterial");
  return (
    <>
      <Reason pack={pack} />
      <div class="picker">
        <MapDrawing
          configuration={pack.configuration}
          side={pack.side}
          lengthCm={null}
          needledFromCm={pack.needled_from_cm}
          needledToCm={pack.needled_to_cm}
          punctures={pack.punctures}
          zones={pack.zones}
          planned={plan.accepted ? null : placesOf(plan)}
          value={plan.accepted ? placesOf(plan) : {}}
          active={active.value}
          onPlace={(role, along_cm) => change(withSite(plan, role, { along_cm }))}
          onActive={(role) => {
            active.value = role;
          }}
        />
        <div class="sites">
          <ChoiceRow
            name="plan.active"
            label="A tap on the map places"
            options={roles}
            wordFor={(role) => LETTER[role as Role]}
            value={active.value}
            onValue={(role) => {
              active.value = (role as Role | undefined) ?? active.value;
            }}
          />
          {roles.map((role) => {
            const site = plan.sites[role];
            return site && <SiteRow key={role} role={role} site={site} plan={plan} pack={pack} onPlan={change} />;
          })}
        </div>
      </div>
      <Distances plan={plan} pack={pack} />
      {sentences.length > 0 && (
        <div class="said ask">
          <ul>
            {sentences.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
          <TextField
            name="plan.reason"
            label="Why here all the same"
            text={plan.spacing_reason}
            onText={(spacing_reason) => change({ ...plan, spacing_reason })}
          />
        </div>
      )}
      {plan.accepted ? (
        <Skins plan={plan} onPlan={change} />
      ) : (
        <button type="button" class="main wide" onClick={() => change({ ...plan, accepted: true })}>
          Take these sites
        </button>
      )}
      <Details plan={plan} onPlan={change} />
      <Next pack={pack} />
    </>
  );
}

function placesOf({ sites }: SitePlan): Sites {
  return { arterial: sites.arterial?.along_cm ?? null, venous: sites.venous?.along_cm ?? null };
}

function Reason({ pack }: { readonly pack: AccessPack }) {
  const { none_because, reason, gauge } = pack.plan;
  if (none_because) return <p class="said">No pair is proposed: {none_because}</p>;
  return (
    <>
      <p class="small soft">Planned: {reason}</p>
      {gauge && (
        <p class="small">
          <strong>New fistula.</strong> {gauge}
        </p>
      )}
    </>
  );
}

/** What comes next, if each planned pair is used; two tracks stay where they are. */
function Next({ pack }: { readonly pack: AccessPack }) {
  const { next, through_track } = pack.plan;
  if (next.length === 0 || through_track.length === 2) return null;
  const pairs = next.map(({ arterial_cm: a, venous_cm: v }) => `A\u00a0${shown(a, 1)} V\u00a0${shown(v, 1)}`);
  return (
    <details>
      <summary>The pairs after this one</summary>
      <p class="small">If each planned pair is used, then: {pairs.join(", ")} cm.</p>
    </details>
  );
}

interface RowProps {
  readonly role: Role;
  readonly site: Site;
  readonly plan: SitePlan;
  readonly pack: AccessPack;
  readonly onPlan: (plan: SitePlan) => void;
}

function SiteRow({ role, site, plan, pack, onPlan }: RowProps) {
  const step = (steps: number) => onPlan(moved(plan, role, steps, pack));
  const letter = LETTER[role];
  return (
    <div class={`site ${role} ${plan.accepted ? "taken" : ""}`}>
      <span class="site-letter">{letter}</span>
      <p class="site-place" aria-live="polite">
        <strong>{site.along_cm === null ? "no place yet" : `${shown(site.along_cm, 1)} cm`}</strong>
        <span class="small soft">from the anastomosis</span>
        <span class="small">{restOf(role, site.along_cm, pack)}</span>
      </p>
      <div class="site-steps">
        <button
          type="button"
          class="step"
          aria-label={`−0.5 cm: ${letter} towards the anastomosis`}
          onClick={() => step(-1)}
        >
          −0.5
        </button>
        <button
          type="button"
          class="step"
          aria-label={`+0.5 cm: ${letter} away from the anastomosis`}
          onClick={() => step(1)}
        >
          +0.5
        </button>
      </div>
    </div>
  );
}

function Distances({ plan, pack }: { readonly plan: SitePlan; readonly pack: AccessPack }) {
  const gap = gapCm(plan);
  const near = ROLES.flatMap((role) => {
    const along = plan.sites[role]?.along_cm ?? null;
    const nearest = along === null ? null : nearestCm(along, pack.punctures);
    return nearest === null ? [] : [`${LETTER[role]} ${shown(nearest, 1)} cm from the nearest puncture of 14 days`];
  });
  const all = [...(gap === null ? [] : [`A to V ${shown(gap, 1)} cm`]), ...near];
  return all.length > 0 ? <p class="small">{all.join(" · ")}</p> : null;
}

function Skins({ plan, onPlan }: Pick<RowProps, "plan" | "onPlan">) {
  const words = tables.value?.findings["skin"] ?? [];
  return (
    <div class="fields">
      {ROLES.map(
        (role) =>
          plan.sites[role] && (
            <ChoiceRow
              key={role}
              name={`plan.${role}.skin`}
              label={`Skin at ${LETTER[role]}`}
              options={words}
              fold
              value={plan.sites[role].skin || undefined}
              onValue={(skin = "") => onPlan(withSite(plan, role, { skin }))}
            />
          ),
      )}
    </div>
  );
}

function Details({ plan, onPlan }: Pick<RowProps, "plan" | "onPlan">) {
  const words = tables.value?.words ?? {};
  return (
    <details>
      <summary>Gauge, direction, technique</summary>
      <div class="fields">
        {ROLES.map(
          (role) =>
            plan.sites[role] && (
              <RoleDetails
                key={role}
                role={role}
                site={plan.sites[role]}
                onSite={(changed) => onPlan(withSite(plan, role, changed))}
              />
            ),
        )}
        <ChoiceRow
          name="plan.technique"
          label="Technique"
          options={words["techniques"] ?? []}
          wordFor={(word) => (word === "rope-ladder" ? "rope-ladder (sites in turn)" : word)}
          value={plan.technique || undefined}
          onValue={(technique = "") => onPlan({ ...plan, technique })}
        />
        <ChoiceRow
          name="plan.tip"
          label="Needle tip"
          options={words["tips"] ?? []}
          value={plan.tip}
          onValue={(tip) => tip && onPlan({ ...plan, tip })}
        />
      </div>
    </details>
  );
}

const GAUGES = ["14", "15", "16", "17"];

function RoleDetails({
  role,
  site,
  onSite,
}: {
  readonly role: Role;
  readonly site: Site;
  readonly onSite: (changed: Partial<Site>) => void;
}) {
  return (
    <>
      <ChoiceRow
        name={`plan.${role}.gauge`}
        label={`Gauge ${LETTER[role]}`}
        options={GAUGES}
        wordFor={(gauge) => `${gauge}G`}
        value={site.gauge === null ? undefined : String(site.gauge)}
        onValue={(gauge) => onSite({ gauge: gauge ? Number(gauge) : null })}
      />
      <ChoiceRow
        name={`plan.${role}.direction`}
        label={`Direction ${LETTER[role]}`}
        options={tables.value?.words["directions"] ?? []}
        value={site.direction || undefined}
        onValue={(direction = "") => onSite({ direction })}
      />
    </>
  );
}
