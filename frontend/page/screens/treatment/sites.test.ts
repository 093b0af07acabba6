import { describe, expect, test } from "vitest";
import type { AccessPack, PastPuncture } from "../../../data/shapes";
import { broken, moved, needlesFrom, onVessel, proposed, restOf, withSite } from "./sites";

const puncture = (along_cm: number | null, days_ago: number): PastPuncture => ({
  role: "arterial",
  along_cm,
  days_ago,
  on: "2026-11-20",
  outcome: "in use to the end",
  technique: "rope-ladder",
});

const pack: AccessPack = {
  id: "a",
  title: "left forearm loop graft",
  kind: "graft",
  configuration: "forearm loop graft",
  side: "left",
  status: "in use",
  needled_from_cm: 3,
  needled_to_cm: 30,
  zones: [{ id: "z", from_cm: 9, to_cm: 10, why: "bulge", action: "keep off", since: "2026-10-01" }],
  holds: [],
  punctures: [],
  last_sites: null,
  last_gauge: 15,
  plan: {
    arterial_cm: 8,
    venous_cm: 14,
    arterial_rest_days: 12,
    venous_rest_days: null,
    through_track: [],
    reason: "rested longest",
    gauge: "",
    next: [],
    none_because: "",
  },
  last_signs: {},
  last_signs_on: null,
  bands: [],
};
// The distances that the server sends: needle-spacing in access/measures/sources.toml (advice, weak evidence).
const SPACING = { sites_cm: 5, tips_cm: 2.5, anastomosis_cm: 4, recent_cm: 0.6 };

describe("the planned pair", () => {
  test("stands hollow with the ordered gauge, and nothing that was seen is filled in", () => {
    const plan = proposed(pack, 15);
    expect(plan.accepted).toBe(false);
    expect(plan.sites.arterial).toEqual({ along_cm: 8, gauge: 15, direction: "", skin: "" });
    expect(plan.sites.venous?.direction).toBe("with the flow");
    expect(plan.technique).toBe("");
  });

  test("that keeps the distances and the zones breaks nothing", () => {
    expect(broken(proposed(pack, 15), pack, SPACING)).toEqual([]);
  });

  test("is not asked for its distance to recent punctures, however near they are", () => {
    const used = { ...pack, punctures: [puncture(8, 12), puncture(14.5, 2)] };
    expect(broken(proposed(used, 15), used, SPACING)).toEqual([]);
    const away = moved(proposed(used, 15), "venous", 1, used);
    expect(broken(away, used, SPACING)).toEqual(["V is 0.0 cm from a recent puncture; at least 0.6 cm are advised."]);
    expect(broken(moved(away, "venous", -1, used), used, SPACING)).toEqual([]);
  });

  test("is asked for every other distance and for a stretch to keep off", () => {
    const near = { ...pack, plan: { ...pack.plan, arterial_cm: 9.5, venous_cm: 3 } };
    expect(broken(proposed(near, 15), near, SPACING)).toEqual([
      "The venous needle lies upstream of the arterial one.",
      "A lies where to keep off: bulge, 9 to 10 cm.",
      "V is 3.0 cm from the anastomosis; at least 4 cm are advised.",
    ]);
  });

  test("says how long each site rested until its needle is moved, and names a track", () => {
    expect([restOf("arterial", 8, pack), restOf("venous", 14, pack)]).toEqual(["rested 12 days", "no needle recorded"]);
    expect([restOf("arterial", 8.5, pack), restOf("arterial", null, pack)]).toEqual(["", ""]);
    const tracked = { ...pack, plan: { ...pack.plan, through_track: ["venous" as const] } };
    expect(restOf("venous", 14, tracked)).toBe("its buttonhole track");
  });

  test("that is missing leaves no place to call planned", () => {
    const plan = { ...pack.plan, arterial_cm: null, venous_cm: null, none_because: "It is clotted." };
    const none = { ...pack, plan, punctures: [puncture(8, 2)] };
    expect(broken(withSite(proposed(none, 15), "arterial", { along_cm: 8 }), none, SPACING)).toHaveLength(1);
    expect(restOf("arterial", null, none)).toBe("");
  });
});

describe("a site that moves", () => {
  test("goes by half centimetres and stays on the vessel", () => {
    expect(moved(proposed(pack, 15), "arterial", -1, pack).sites.arterial?.along_cm).toBe(7.5);
    expect([onVessel(-2, pack), onVessel(8.3, pack), onVessel(99, pack)]).toEqual([0, 8.5, 30]);
  });

  test("loses the answer about its skin, and the other site keeps its own", () => {
    const seen = withSite(withSite(proposed(pack, 15), "arterial", { skin: "sound" }), "venous", { skin: "sound" });
    const next = moved(seen, "arterial", 1, pack);
    expect([next.sites.arterial?.skin, next.sites.venous?.skin]).toEqual(["", "sound"]);
  });

  test("into a stretch to keep off, beside the anastomosis or a recent puncture is told", () => {
    const at = (along_cm: number) => withSite(proposed(pack, 15), "arterial", { along_cm });
    expect(broken(at(9.5), pack, SPACING).join()).toContain("keep off");
    expect(broken(at(3.5), pack, SPACING).join()).toContain("3.5 cm from the anastomosis");
    expect(broken(at(4), pack, SPACING)).toEqual([]);
    const used = { ...pack, punctures: [puncture(7.5, 2), puncture(null, 1), puncture(8, 30)] };
    expect(broken(at(7), used, SPACING).join()).toContain("0.5 cm from a recent puncture");
    expect(broken(at(8.5), used, SPACING).join()).not.toContain("recent");
  });

  test("beyond the venous one or too near to it is told", () => {
    const plan = withSite(proposed(pack, 15), "venous", { along_cm: 6 });
    expect(broken(plan, pack, SPACING)).toEqual([
      "The sites are 2.0 cm apart; 5 cm are advised.",
      "The venous needle lies upstream of the arterial one.",
    ]);
  });
});

test("needles go in where and when it was said, each a row of its own", () => {
  const needles = needlesFrom(proposed(pack, 15), "2026-11-25T07:00:00Z");
  expect(needles.map(({ role, along_cm, in_at }) => [role, along_cm, in_at])).toEqual([
    ["arterial", 8, "2026-11-25T07:00:00Z"],
    ["venous", 14, "2026-11-25T07:00:00Z"],
  ]);
  expect(new Set(needles.map(({ id }) => id)).size).toBe(2);
  expect(needlesFrom(proposed(pack, 15, ["venous"]), "2026-11-25T07:00:00Z")).toHaveLength(1);
});
