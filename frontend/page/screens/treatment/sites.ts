// The two needle sites while they are being chosen: moved in half-centimetre steps, held against distances that the
// protocol advises and stretches to keep off. It advises and asks for a reason; it never refuses a place.
import { shown, type Tables } from "../../../data/lookups";
import type { AccessPack, Needle, PastPuncture, Role, Zone } from "../../../data/shapes";
import { uuid7 } from "../../../data/uuid7";

export interface Site {
  readonly along_cm: number | null;
  readonly gauge: number | null;
  readonly direction: string;
  /** What the skin at this place looks like; emptied whenever the site moves. */
  readonly skin: string;
}

export interface SitePlan {
  readonly access: string;
  readonly sites: Readonly<Partial<Record<Role, Site>>>;
  readonly accepted: boolean;
  readonly technique: string;
  readonly tip: string;
  readonly spacing_reason: string;
}

export const STEP_CM = 0.5;
export const ROLES: readonly Role[] = ["arterial", "venous"];
export const LETTER: Readonly<Record<Role, string>> = { arterial: "A", venous: "V" };

/** The plan as the server proposes it: hollow until it is accepted, with only the ordered gauge filled in. */
export function proposed(pack: AccessPack, gauge: number | null, roles: readonly Role[] = ROLES): SitePlan {
  const sites: Partial<Record<Role, Site>> = {};
  for (const role of roles) {
    const along_cm = pack.plan[`${role}_cm`];
    sites[role] = { along_cm, gauge, direction: role === "venous" ? "with the flow" : "", skin: "" };
  }
  return { access: pack.id, sites, accepted: false, technique: "", tip: "sharp", spacing_reason: "" };
}

export function withSite(plan: SitePlan, role: Role, changed: Partial<Site>): SitePlan {
  const site = plan.sites[role];
  if (!site) return plan;
  const moved = changed.along_cm !== undefined && changed.along_cm !== site.along_cm;
  return { ...plan, sites: { ...plan.sites, [role]: { ...site, ...changed, ...(moved ? { skin: "" } : {}) } } };
}

/** Moves a site by whole steps and keeps it on the vessel. */
export function moved(plan: SitePlan, role: Role, steps: number, pack: AccessPack): SitePlan {
  const from = plan.sites[role]?.along_cm ?? middle(pack);
  return withSite(plan, role, { along_cm: onVessel(from + steps * STEP_CM, pack) });
}

export function onVessel(along_cm: number, { needled_to_cm }: Pick<AccessPack, "needled_to_cm">): number {
  const most = needled_to_cm ?? Number.POSITIVE_INFINITY;
  return Math.min(Math.max(Math.round(along_cm / STEP_CM) * STEP_CM, 0), most);
}

function middle({ needled_from_cm, needled_to_cm }: AccessPack): number {
  return ((needled_from_cm ?? 0) + (needled_to_cm ?? 10)) / 2;
}

export function gapCm(plan: SitePlan): number | null {
  const a = plan.sites.arterial?.along_cm ?? null;
  const v = plan.sites.venous?.along_cm ?? null;
  return a === null || v === null ? null : Math.abs(v - a);
}

const below = (value: number, limit: number | undefined): boolean =>
  limit !== undefined && Number(value.toFixed(1)) < limit;

export function zonesAt(along_cm: number, zones: readonly Zone[]): readonly Zone[] {
  return zones.filter(({ from_cm, to_cm }) => from_cm <= along_cm && along_cm <= to_cm);
}

/** How far a site is from the nearest puncture of the last days that count as recent. */
export function nearestCm(along_cm: number, punctures: readonly PastPuncture[], days = 14): number | null {
  const gaps = punctures.flatMap((one) =>
    one.along_cm === null || one.days_ago > days ? [] : [Math.abs(one.along_cm - along_cm)],
  );
  return gaps.length > 0 ? Math.min(...gaps) : null;
}

/** Whether a needle stands where the server planned it. */
function asPlanned(role: Role, along_cm: number | null, { plan }: AccessPack): boolean {
  return along_cm !== null && along_cm === plan[`${role}_cm`];
}

/** How long a planned site has rested, or that it is a track; nothing once the needle was moved off it. */
export function restOf(role: Role, along_cm: number | null, pack: AccessPack): string {
  if (!asPlanned(role, along_cm, pack)) return "";
  if (pack.plan.through_track.includes(role)) return "its buttonhole track";
  const days = pack.plan[`${role}_rest_days`];
  return days === null ? "no needle recorded" : `rested ${days} ${days === 1 ? "day" : "days"}`;
}

/** What the pair breaks, in sentences: each needs a reason before the needles are recorded. */
export function broken(plan: SitePlan, pack: AccessPack, spacing: Tables["spacing"]): string[] {
  const said: string[] = [];
  const gap = gapCm(plan);
  const wide = spacing["sites_cm"];
  if (gap !== null && below(gap, wide)) said.push(`The sites are ${shown(gap, 1)} cm apart; ${wide} cm are advised.`);
  const [a, v] = [plan.sites.arterial?.along_cm ?? null, plan.sites.venous?.along_cm ?? null];
  if (a !== null && v !== null && v < a) said.push("The venous needle lies upstream of the arterial one.");
  for (const role of ROLES) said.push(...brokenAt(plan, role, pack, spacing));
  return said;
}

function brokenAt(plan: SitePlan, role: Role, pack: AccessPack, spacing: Tables["spacing"]): string[] {
  const along = plan.sites[role]?.along_cm ?? null;
  if (along === null) return [];
  const letter = LETTER[role];
  const said: string[] = [];
  const least = spacing["anastomosis_cm"];
  if (below(along, least))
    said.push(`${letter} is ${shown(along, 1)} cm from the anastomosis; at least ${least} cm are advised.`);
  const near = nearestCm(along, pack.punctures);
  const apart = spacing["recent_cm"];
  // A planned site rested as long as any can; to ask why it is taken would only teach to type a reason.
  const own = plan.technique === "buttonhole" || asPlanned(role, along, pack);
  if (near !== null && !own && below(near, apart))
    said.push(`${letter} is ${shown(near, 1)} cm from a recent puncture; at least ${apart} cm are advised.`);
  for (const zone of zonesAt(along, pack.zones))
    if (zone.action === "keep off")
      said.push(`${letter} lies where to keep off: ${zone.why}, ${zone.from_cm} to ${zone.to_cm} cm.`);
  return said;
}

/** The needles as they went in, at this moment. */
export function needlesFrom(plan: SitePlan, in_at: string): Needle[] {
  return ROLES.flatMap((role) => {
    const site = plan.sites[role];
    return site ? [needleFrom(plan, role, site, in_at)] : [];
  });
}

function needleFrom(
  { access, technique, tip, spacing_reason }: SitePlan,
  role: Role,
  site: Site,
  in_at: string,
): Needle {
  const told = { replaced_because: "", extent: "", action_taken: "", pain: null };
  const who = { needled_by: "staff", needled_by_name: "", supervisor_name: "" };
  const place = { segment: "", across_cm: null, out_at: null, outcome: "in use to the end" };
  return { id: uuid7(), access, role, ...site, ...place, technique, tip, in_at, ...told, ...who, spacing_reason };
}

/** A needle by its letter and place, as a person says it. */
export function nameOf({ role, along_cm }: Pick<Needle, "role" | "along_cm">): string {
  return `${LETTER[role]}${along_cm === null ? "" : ` at ${shown(along_cm, 1)} cm`}`;
}
