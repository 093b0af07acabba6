// The drawn course of each kind of access, the very files that the server draws from (access/drawing/geometry), built
// in beside the page and fetched when they are needed. Drawn for a left arm; what is mirrored for a right one is
// decided where it is drawn.
import { builtFile } from "../../data/api";
import type { Geometry, Side } from "../../data/centre-line";

export interface Landmark {
  readonly words: string;
}

export interface Limb {
  readonly name: string;
  readonly seen: string;
  readonly outline: string;
  readonly details: readonly string[];
  readonly landmarks: readonly Landmark[];
}

type File = Geometry & { readonly landmarks?: readonly Landmark[] };

const addresses = import.meta.glob<string>("../../../access/drawing/geometry/**/*.json", {
  query: "?url",
  import: "default",
  eager: true,
});
const byName = new Map(Object.entries(addresses).map(([path, address]) => [nameIn(path), address]));
const files = new Map<string, File>();
const limbs = new Map<string, Limb>();

function nameIn(path: string): string {
  return path.replace(/^.*\/geometry\/|\.json$/g, "");
}

/** Takes in the drawing of a kind of access, so that `drawnFor` has it; a kind that is not known is a plain line. */
export async function fetchDrawing(configuration: string): Promise<void> {
  const wanted = configuration.replaceAll(" ", "-");
  const name = byName.has(wanted) ? wanted : "other";
  const address = byName.get(name);
  if (!address || files.has(name)) return;
  const file = await builtFile<File>(address);
  const limb = file.limb ? byName.get(`limbs/${file.limb}`) : undefined;
  keepDrawing(file, limb ? await builtFile<Limb>(limb) : null);
}

/** Takes in a drawing that is already at hand. */
export function keepDrawing(file: File, limb: Limb | null): void {
  files.set(file.configuration.replaceAll(" ", "-"), file);
  if (file.limb && limb) limbs.set(file.limb, limb);
}

export interface Drawn {
  readonly geometry: Geometry;
  readonly limb: Limb | null;
  /** The landmarks that may be named on this drawing; a plain line has only those that are true of it. */
  readonly landmarks: ReadonlySet<string>;
}

/** The drawing of a kind of access; a kind that is not known is drawn as a plain line. */
export function drawnFor(configuration: string): Drawn {
  const file = files.get(configuration.replaceAll(" ", "-")) ?? files.get("other");
  if (!file) throw new Error(`The drawing of a ${configuration} was not fetched.`);
  const limb = (file.limb && limbs.get(file.limb)) || null;
  const landmarks = new Set((limb?.landmarks ?? file.landmarks ?? []).map(({ words }) => words));
  return { geometry: file, limb, landmarks };
}

/** Whose limb it is, with the side in capitals so that it is not overlooked. */
export function whose({ limb_word }: Geometry, side: Side): string {
  return `patient's ${side.toUpperCase()} ${limb_word}`;
}

export function kinds(): readonly string[] {
  return [...byName.keys()].filter((name) => !name.startsWith("limbs/"));
}
