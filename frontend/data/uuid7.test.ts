import { describe, expect, test } from "vitest";
import { uuid7 } from "./uuid7";

describe("an id made in the browser", () => {
  // RFC 9562, appendix A.6: the example's time is 0x017F22E279B0, its id starts 017f22e2-79b0-7.
  test("starts with the published example's time and version", () => {
    expect(uuid7(0x017f22e279b0)).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  });

  test("sorts by time as text", () => {
    const made = [1, 2, 300, 70_000, 1_800_000_000_000].map((time) => uuid7(time));
    expect([...made].sort()).toEqual(made);
  });

  test("is not made twice in one millisecond", () => {
    expect(new Set(Array.from({ length: 1000 }, () => uuid7(5))).size).toBe(1000);
  });
});
