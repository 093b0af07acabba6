// A small drawing of the server's without its frame, where the words beside it already say what it shows.
import { useEffect, useRef } from "preact/hooks";
import { drawing } from "./ServerFigure";

export function Drawing({ svg }: { readonly svg: string }) {
  const holder = useRef<HTMLSpanElement>(null);
  useEffect(() => {
    const drawn = drawing(svg);
    if (drawn) holder.current?.replaceChildren(drawn);
  }, [svg]);
  return <span ref={holder} class="spark" aria-hidden="true" />;
}
