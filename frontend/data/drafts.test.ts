import "fake-indexeddb/auto";
import { describe, expect, test } from "vitest";
import {
  answered,
  begin,
  type Draft,
  draftOf,
  drafts,
  keep,
  type Pending,
  rebase,
  refuse,
  takeBack,
  want,
} from "./drafts";
import { uuid7 } from "./uuid7";

const ADA = { kind: "treatments", author: "ada", base: { version: 3, document: { after: {} } } };

const pendingOf = (draft: Draft): Pending => ({
  saveId: "save-1",
  version: draft.base.version,
  body: { document: { after: draft.parts["after"]?.value } },
  turns: draft.wanted,
});

describe("what is typed", () => {
  test("is kept by document and part until the server has answered for it", async () => {
    const id = uuid7();
    await keep(id, { after: { minutes: "8" } }, ADA);
    await want(id, ["after"]);
    await begin(id, pendingOf);
    expect((await draftOf(id))?.parts["after"]?.value).toEqual({ minutes: "8" });
    await answered(id, { version: 4, document: {} });
    expect(await draftOf(id)).toBeUndefined();
  });

  test("since the save was sent stays when the answer comes, on the new version", async () => {
    const id = uuid7();
    await keep(id, { after: { minutes: "8" } }, ADA);
    await want(id, ["after"]);
    await begin(id, pendingOf);
    await keep(id, { after: { minutes: "9" } }, ADA);
    const left = await answered(id, { version: 4, document: {} });
    expect(left?.parts["after"]?.value).toEqual({ minutes: "9" });
    expect(left?.pending).toBeNull();
    expect(left?.base.version).toBe(4);
  });

  test("and was not asked to be sent stays when another part is answered for", async () => {
    const id = uuid7();
    await keep(id, { after: { minutes: "8" }, reading: { venous: "14" } }, ADA);
    await want(id, ["after"]);
    await begin(id, pendingOf);
    const left = await answered(id, { version: 4, document: {} });
    expect(Object.keys(left?.parts ?? {})).toEqual(["reading"]);
  });

  test("stays after a refusal, with the server's reason", async () => {
    const id = uuid7();
    await keep(id, { pressures: [{ venous: "4000" }] }, ADA);
    await want(id, ["pressures"]);
    await begin(id, pendingOf);
    const fields = [{ field: "pressures.0.venous_mmhg", text: "too high" }];
    await refuse(id, { status: 422, words: "Not stored", fields, body: {} });
    const left = await draftOf(id);
    expect(left?.parts["pressures"]?.value).toEqual([{ venous: "4000" }]);
    expect(left?.refused?.words).toBe("Not stored");
    expect(left?.pending).toBeNull();
    expect((await begin(id, pendingOf))?.pending).toBeNull();
    await want(id, ["pressures"]);
    expect((await begin(id, pendingOf))?.pending).not.toBeNull();
  });
});

describe("a lost answer", () => {
  test("is asked for again with the same save_id and the same body", async () => {
    const id = uuid7();
    await keep(id, { after: { minutes: "8" } }, ADA);
    await want(id, ["after"]);
    const first = await begin(id, pendingOf);
    await keep(id, { after: { minutes: "12" } }, ADA);
    const again = await begin(id, (draft) => ({ ...pendingOf(draft), saveId: "save-2" }));
    expect(first?.pending?.saveId).toBe("save-1");
    expect(again?.pending).toEqual(first?.pending);
  });

  test("leaves what was asked to be sent since still asked for", async () => {
    const id = uuid7();
    await keep(id, { after: { minutes: "8" } }, ADA);
    await want(id, ["after"]);
    await begin(id, pendingOf);
    await keep(id, { after: { minutes: "12" } }, ADA);
    await want(id, ["after"]);
    const left = await answered(id, { version: 4, document: {} });
    expect(left?.wanted).toEqual({ after: 2 });
  });
});

test("the base stays as it was when the typing started, until a person chooses another", async () => {
  const id = uuid7();
  await keep(id, { after: 1 }, ADA);
  await keep(id, { after: 2 }, { ...ADA, base: { version: 9, document: {} } });
  expect((await draftOf(id))?.base.version).toBe(3);
  expect((await rebase(id, { version: 9, document: {} }))?.base.version).toBe(9);
});

test("taking the last part back leaves no draft", async () => {
  const id = uuid7();
  await keep(id, { frame: {} }, ADA);
  await takeBack(id, ["frame"]);
  expect((await drafts()).map((draft) => draft.id)).not.toContain(id);
});
