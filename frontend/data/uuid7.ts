// Ids that are made where the record is born: UUID version 7 (RFC 9562, section 5.7), ordered by the millisecond.
// It keeps no counter within a millisecond: these ids name single records, they do not order them.

export function uuid7(now: number = Date.now()): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let left = now;
  for (let index = 5; index >= 0; index--) {
    bytes[index] = left % 256;
    left = Math.floor(left / 256);
  }
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x70;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
