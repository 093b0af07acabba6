import { describe, expect, test, vi } from "vitest";

vi.stubGlobal("location", { pathname: "/today", search: "?shift=night", origin: "http://clinic.test" });
const { asked, matched, place } = await import("./router");

describe("the router", () => {
  test("takes the named parts out of a path", () => {
    expect(matched("/treatments/:id", "/treatments/019a-7b?x=1")).toEqual({ id: "019a-7b" });
    expect(matched("/patients/:id/tests", "/patients/p%201/tests")).toEqual({ id: "p 1" });
  });

  test("does not take one path for another", () => {
    expect(matched("/referrals", "/referrals/1")).toBeNull();
    expect(matched("/treatments/:id", "/treatments/")).toBeNull();
    expect(matched("/", "/today")).toBeNull();
  });

  test("reads what was asked for beside the path", () => {
    expect(place.value).toBe("/today?shift=night");
    expect([asked("shift"), asked("day")]).toEqual(["night", null]);
  });
});
