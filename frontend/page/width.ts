// Whether there is room for two columns. One question, asked in one place, so that drawing and layout agree.
import { signal } from "@preact/signals";

const query = matchMedia("(min-width: 62rem)");
export const roomy = signal(query.matches);
query.addEventListener("change", () => {
  // Paper has a width of its own: what is printed is the page as it stands on the screen.
  if (!matchMedia("print").matches) roomy.value = query.matches;
});

/** The width for which the server draws: a chart of 720 px needs about that much room. */
export function drawnFor(): "narrow" | "wide" {
  return innerWidth < 700 ? "narrow" : "wide";
}
