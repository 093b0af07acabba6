// Compares a typed pressure with the access's own usual band at that gauge and pump speed, as the server worked it
// out. A value out of its band asks once, per treatment and direction, to rule out the circuit; it judges nothing.
import type { AccessPack, Band, PressureReading } from "../../../data/shapes";

export const BANDED = ["pre_pump_arterial_mmhg", "venous_mmhg"] as const;
export type Banded = (typeof BANDED)[number];
export type Side = "below" | "above";

export interface Outside {
  readonly quantity: Banded;
  readonly side: Side;
  readonly band: Band;
}

/** The band for this quantity at this gauge and pump speed; none where the server had too few treatments. */
export function bandFor(pack: AccessPack, quantity: Banded, gauge: number | null, pump: number | null): Band | null {
  const fits = pack.bands.filter(
    (band) => band.quantity === quantity && band.gauge === gauge && band.pump_ml_min === pump,
  );
  return fits[0] ?? null;
}

export function sideOf(value: number | null, band: Band | null): Side | null {
  if (value === null || !band) return null;
  if (band.low !== null && Math.round(value) < Math.round(band.low)) return "below";
  if (band.high !== null && Math.round(value) > Math.round(band.high)) return "above";
  return null;
}

type Gauges = Readonly<Record<Banded, number | null>>;

export function outside(reading: PressureReading, pack: AccessPack, gauges: Gauges): Outside[] {
  return BANDED.flatMap((quantity) => {
    const band = bandFor(pack, quantity, gauges[quantity], reading.pump_ml_min);
    const side = sideOf(reading[quantity], band);
    return side && band ? [{ quantity, side, band }] : [];
  });
}

/** What is out of its band and has not been asked about in this treatment, in that direction. */
export function toAsk(
  reading: PressureReading,
  earlier: readonly PressureReading[],
  pack: AccessPack,
  gauges: Gauges,
): Outside[] {
  const asked = earlier.flatMap((one) => outside(one, pack, gauges));
  const before = new Set(asked.map(({ quantity, side }) => quantity + side));
  return outside(reading, pack, gauges).filter(({ quantity, side }) => !before.has(quantity + side));
}
