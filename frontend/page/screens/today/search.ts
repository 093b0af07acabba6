// Finds rows of the shift by a few letters of a name, a chart number or a station, in any order, accents aside.
import type { TodayRow } from "../../../data/shapes";

const plain = (text: string): string =>
  text
    .normalize("NFD")
    .replace(/\p{Mn}/gu, "")
    .toLowerCase();

export function fits({ patient, station }: Pick<TodayRow, "patient" | "station">, search: string): boolean {
  const text = plain(`${patient.name} ${patient.chart_number} ${station ?? ""}`);
  return plain(search)
    .split(/\s+/)
    .every((word) => text.includes(word));
}
