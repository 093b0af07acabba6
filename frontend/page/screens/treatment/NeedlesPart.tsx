// The needles: a planned pair that stands hollow until it is accepted, the skin asked at each site, then "in". Every
// puncture through the skin is a row, whatever came of it.
import { missingToNeedle } from "../../../data/emergency";
import { tables } from "../../../data/lookups";
import type { AccessPack, Needle, Role } from "../../../data/shapes";
import type { Desk } from "./desk";
import { Field } from "./ExaminationPart";
import { change as changeFrame } from "./Frame";
import { examinationOf, rowsMet } from "./findings";
import { NeedleRow } from "./NeedleRow";
import { Part, SavePart } from "./Part";
import { SitePicker } from "./SitePicker";
import { broken, LETTER, needlesFrom, proposed, ROLES, type SitePlan } from "./sites";

interface Props {
  readonly desk: Desk;
  readonly pack: AccessPack;
}

export function NeedlesPart({ desk, pack }: Props) {
  const { frame, needles } = desk.document.value;
  const here = needles.filter(({ access }) => access === pack.id);
  const roles = rolesFor(frame.route);
  const plan = planOf(desk, pack, here, roles);
  return (
    <Part id="needles" number={2} title="Needles">
      {roles.length === 0 && <p>Route: {frame.route}. No needle goes into this access.</p>}
      {plan && <Planning desk={desk} pack={pack} plan={plan} />}
      {here.length > 0 && (
        <ol class="needle-rows">
          {here.map((needle) => (
            <NeedleRow key={needle.id} desk={desk} needle={needle} />
          ))}
        </ol>
      )}
      {here.length > 0 && <Field desk={desk} pack={pack} field="needling" />}
      {!plan && (
        <AnotherTry desk={desk} pack={pack} roles={roles} word={here.length > 0 ? "Another puncture for" : "Needle"} />
      )}
      {here.length > 0 && <SavePart desk={desk} parts={["needles", "examination", "frame"]} label="Save the needles" />}
    </Part>
  );
}

// With one needle in the access a person says which one it is.
const SINGLE = ["one needle", "needle and catheter lumen"];

function rolesFor(route: string): readonly Role[] {
  return route === "catheter" || route === "not dialysed" ? [] : ROLES;
}

/** The pair being planned: as typed, or the server's proposal while no needle is in yet. */
function planOf(desk: Desk, pack: AccessPack, here: readonly Needle[], roles: readonly Role[]): SitePlan | null {
  const typed = desk.typed.value.plan;
  if (typed?.access === pack.id) return typed;
  const single = SINGLE.includes(desk.document.value.frame.route);
  if (here.length > 0 || roles.length === 0 || single) return null;
  return proposed(pack, desk.page.value.orders?.needle_gauge ?? null, roles);
}

function Planning({ desk, pack, plan }: Props & { readonly plan: SitePlan }) {
  const sentences = broken(plan, pack, tables.value?.spacing ?? {});
  const obstacle = plan.accepted ? obstacleFor(desk, pack, plan, sentences) : "";
  const roles = ROLES.filter((role) => plan.sites[role]);
  const both = roles.length === 2 ? "Both needles are in" : `Needle ${LETTER[roles[0] ?? "arterial"]} is in`;
  return (
    <>
      <SitePicker desk={desk} pack={pack} plan={plan} sentences={sentences} />
      {plan.accepted && (
        <SavePart
          desk={desk}
          parts={["needles", "examination", "frame"]}
          label={both}
          obstacle={obstacle}
          before={() => goIn(desk, plan)}
        />
      )}
    </>
  );
}

function obstacleFor(desk: Desk, pack: AccessPack, plan: SitePlan, sentences: readonly string[]): string {
  const stop = missingToNeedle(
    rowsMet(desk, pack),
    examinationOf(desk, pack.id) ?? { needling_reason: "", needling_physician: "" },
  );
  if (stop) return `${stop} Open “What to do” above.`;
  for (const role of ROLES) {
    const site = plan.sites[role];
    if (site && site.along_cm === null) return `Say where ${LETTER[role]} is.`;
    if (site && !site.skin) return `Look at the skin at ${LETTER[role]} first.`;
  }
  return sentences.length > 0 && !plan.spacing_reason.trim() ? "Say why this place is chosen." : "";
}

function goIn(desk: Desk, plan: SitePlan): void {
  const now = new Date().toISOString();
  const { frame } = desk.document.value;
  desk.change({ needles: [...(desk.typed.value.needles ?? []), ...needlesFrom(plan, now)] });
  desk.drop("plan");
  if (frame.state === "planned") changeFrame(desk, { state: "running", started_at: frame.started_at ?? now });
}

function AnotherTry({ desk, pack, roles, word }: Props & { readonly roles: readonly Role[]; readonly word: string }) {
  return (
    <div class="choice-row">
      {roles.map((role) => (
        <button
          key={role}
          type="button"
          onClick={() => desk.change({ plan: proposed(pack, desk.page.value.orders?.needle_gauge ?? null, [role]) })}
        >
          {word} {LETTER[role]}
        </button>
      ))}
    </div>
  );
}
