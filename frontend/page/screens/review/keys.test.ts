import { expect, test } from "vitest";
import { meaningOf, type Where } from "./keys";

const PLAIN = { shiftKey: false, ctrlKey: false, altKey: false, metaKey: false };
const meaning = (key: string, where: Where, held: Partial<typeof PLAIN> = {}) =>
  meaningOf({ key, ...PLAIN, ...held }, where);

test("arrows and letters move in the list", () => {
  expect([meaning("ArrowDown", "list"), meaning("j", "list")]).toEqual([
    { do: "move", by: 1 },
    { do: "move", by: 1 },
  ]);
  expect(meaning("k", "list")).toEqual({ do: "move", by: -1 });
  expect(meaning("End", "list")).toEqual({ do: "end", last: true });
});

test("the digits choose the four outcomes in their order, and no other digit does", () => {
  const chosen = ["1", "2", "3", "4"].map((key) => meaning(key, "list"));
  expect(chosen.map((one) => one && "outcome" in one && one.outcome)).toEqual([
    "no change",
    "check again",
    "refer",
    "already planned",
  ]);
  expect([meaning("0", "list"), meaning("5", "list")]).toEqual([null, null]);
});

test("a note may hold any letter and digit", () => {
  expect(["1", "4", "j", "k", "ArrowDown"].map((key) => meaning(key, "form"))).toEqual([null, null, null, null, null]);
});

test("Enter saves and Escape leaves everywhere, Shift and Enter begins a new line", () => {
  expect([meaning("Enter", "form"), meaning("Escape", "form")]).toEqual([{ do: "save" }, { do: "leave" }]);
  expect(meaning("Enter", "form", { shiftKey: true })).toBeNull();
});

test("keys of the browser and of the system are left alone", () => {
  expect([meaning("j", "list", { ctrlKey: true }), meaning("1", "list", { altKey: true })]).toEqual([null, null]);
});
