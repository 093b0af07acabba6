// Which screen answers which path. Today comes with the first load; every other screen is fetched when it is opened or,
// for the treatment, as soon as the page is idle. The worker has all of them on the device after the first visit.
import { signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { matched, type Params } from "../router";
import { TodayScreen } from "./today/TodayScreen";

export interface ScreenProps {
  readonly params: Params;
}
export type Screen = ComponentType<ScreenProps>;

type Load = () => Promise<{ readonly default: Screen }>;

// Each of these folders holds an index.tsx whose default export is the screen.
const later = import.meta.glob<{ readonly default: Screen }>("./*/index.tsx");

const PLACES: readonly (readonly [pattern: string, screen: Screen | string])[] = [
  ["/", TodayScreen],
  ["/today", TodayScreen],
  ["/treatments/:id", "treatment"],
  ["/patients/:id/tests", "tests"],
  ["/accesses/:id", "access"],
  ["/review", "review"],
  ["/referrals", "referrals"],
  ["/referrals/:id", "referrals"],
];

const loaded = signal<ReadonlyMap<string, Screen | "failed">>(new Map());
const loading = new Set<string>();

export interface Found {
  readonly key: string;
  readonly params: Params;
  readonly screen: Screen | "being fetched" | "failed" | "nowhere";
}

export function screenAt(path: string): Found {
  for (const [pattern, screen] of PLACES) {
    const params = matched(pattern, path);
    if (!params) continue;
    const key = `${pattern} ${Object.values(params).join(" ")}`;
    return { key, params, screen: typeof screen === "string" ? fetched(screen) : screen };
  }
  return { key: "nowhere", params: {}, screen: "nowhere" };
}

function fetched(folder: string): Found["screen"] {
  const load: Load | undefined = later[`./${folder}/index.tsx`];
  if (!load) return "nowhere";
  const screen = loaded.value.get(folder);
  if (screen) return screen;
  if (!loading.has(folder)) {
    loading.add(folder);
    const keep = (got: Screen | "failed") => {
      loaded.value = new Map(loaded.value).set(folder, got);
    };
    void load()
      .then(
        (module) => keep(module.default),
        () => keep("failed"),
      )
      .finally(() => loading.delete(folder));
  }
  return "being fetched";
}

/** Fetches the treatment screen before it is asked for, since a nurse at the chair waits for it. */
export function prepare(): void {
  setTimeout(() => fetched("treatment"), 1000);
}

/** Forgets a screen that could not be fetched, so that it is tried again. */
export function retry(): void {
  loaded.value = new Map([...loaded.value].filter(([, screen]) => screen !== "failed"));
}
