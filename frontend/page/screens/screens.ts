// Which screen answers which path. Today comes with the first load; the others come together as soon as the page is idle
// or one of them is opened. The worker has all of them on the device after the first visit.
import { signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { matched, type Params } from "../router";
import { TodayScreen } from "./today/TodayScreen";

export interface ScreenProps {
  readonly params: Params;
}
export type Screen = ComponentType<ScreenProps>;

type Later = typeof import("./later");

const PLACES: readonly (readonly [pattern: string, screen: Screen | keyof Later])[] = [
  ["/", TodayScreen],
  ["/today", TodayScreen],
  ["/treatments/:id", "treatment"],
  ["/patients/:id/tests", "tests"],
  ["/accesses/:id", "access"],
  ["/review", "review"],
  ["/referrals", "referrals"],
  ["/referrals/:id", "referrals"],
];

const later = signal<Later | "being fetched" | "failed">("being fetched");
let asked = false;

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

function fetched(name: keyof Later): Found["screen"] {
  const screens = later.value;
  if (typeof screens === "object") return screens[name];
  void fetchLater();
  return screens;
}

async function fetchLater(): Promise<void> {
  if (asked) return;
  asked = true;
  later.value = await import("./later").catch(() => "failed" as const);
}

/** Fetches the other screens before they are asked for, since a nurse at the chair waits for the treatment. */
export function prepare(): void {
  setTimeout(fetchLater, 1000);
}

/** Tries again to fetch the screens, where that failed. */
export function retry(): void {
  asked = false;
  later.value = "being fetched";
  void fetchLater();
}
