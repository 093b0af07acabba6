// Where the page is: one signal, moved by links and by the browser's own back. It loads no screen and knows no data.
import { signal } from "@preact/signals";

export type Params = Readonly<Record<string, string>>;

export const place = signal(location.pathname + location.search);

/** Moves to a path of this page; the screen there takes the focus itself. */
export function go(to: string, { replace = false } = {}): void {
  if (to === place.value) return;
  history[replace ? "replaceState" : "pushState"](null, "", to);
  place.value = to;
  scrollTo(0, 0);
}

/** The named parts of a path that fits a pattern such as `/treatments/:id`, else null. */
export function matched(pattern: string, path: string): Params | null {
  const wanted = pattern.split("/");
  const given = (path.split("?")[0] ?? "").split("/");
  if (wanted.length !== given.length) return null;
  const found: Record<string, string> = {};
  for (const [index, part] of wanted.entries()) {
    const value = given[index] ?? "";
    if (part.startsWith(":") && value !== "") found[part.slice(1)] = decodeURIComponent(value);
    else if (part !== value) return null;
  }
  return found;
}

/** One value of the query string of where the page is. */
export function asked(name: string): string | null {
  return new URLSearchParams(place.value.split("?")[1] ?? "").get(name);
}

function onLink(event: MouseEvent): void {
  const link = (event.target as Element | null)?.closest?.("a[href]");
  if (!(link instanceof HTMLAnchorElement) || link.target || link.hasAttribute("download")) return;
  if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey) return;
  if (link.origin !== location.origin || link.pathname.startsWith("/api/") || link.hash) return;
  event.preventDefault();
  go(link.pathname + link.search);
}

export function startRouter(): void {
  document.addEventListener("click", onLink);
  addEventListener("popstate", () => {
    place.value = location.pathname + location.search;
  });
}
