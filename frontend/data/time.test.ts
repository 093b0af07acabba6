import { afterEach, describe, expect, test } from "vitest";
import { atClinicClock, calendarDay, clinicDay, clock, day, setClinicTime } from "./time";

afterEach(() => setClinicTime("UTC", "24 h"));

describe("the clinic's clock", () => {
  test("shows its own zone and not the device's", () => {
    setClinicTime("America/Chicago", "24 h");
    expect(clock("2026-07-01T12:05:00Z")).toBe("07:05");
    expect(day("2026-07-01T03:00:00Z")).toBe("30 Jun 2026");
    expect(clinicDay("2026-07-01T03:00:00Z")).toBe("2026-06-30");
  });

  test("follows the style the clinic chose", () => {
    setClinicTime("UTC", "12 h");
    expect(clock("2026-07-01T00:05:00Z").toLowerCase()).toBe("12:05 am");
    expect(clock("2026-07-01T13:05:00Z").toLowerCase()).toBe("1:05 pm");
  });

  // IANA time zone database: Europe/Berlin went from UTC+2 back to UTC+1 on 2025-10-26 at 01:00 UTC.
  test("adds the offset to an hour that comes twice", () => {
    setClinicTime("Europe/Berlin", "24 h");
    expect(clock("2025-10-26T00:30:00Z")).toBe("02:30 GMT+2");
    expect(clock("2025-10-26T01:30:00Z")).toBe("02:30 GMT+1");
    expect(clock("2025-10-26T02:30:00Z")).toBe("03:30");
  });

  test("reads a typed time on the clinic's clock, on both sides of a change", () => {
    setClinicTime("Europe/Berlin", "24 h");
    expect(atClinicClock("2026-07-01", "07:05").toISOString()).toBe("2026-07-01T05:05:00.000Z");
    expect(atClinicClock("2026-01-01", "00:10").toISOString()).toBe("2025-12-31T23:10:00.000Z");
    expect(atClinicClock("2025-10-26", "02:30").toISOString()).toBe("2025-10-26T00:30:00.000Z");
    expect(atClinicClock("2025-10-26", "04:00").toISOString()).toBe("2025-10-26T03:00:00.000Z");
  });

  test("never moves a birth date", () => {
    setClinicTime("Pacific/Kiritimati", "24 h");
    expect(calendarDay("1951-03-09")).toBe("9 Mar 1951");
  });
});
