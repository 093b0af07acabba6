// Prints what the built page weighs, gzip -9, beside its bars: first load 40 KiB of script, all of it 60, styles 10,
// worker 5. Exits with 1 when one is passed, so that a build that grew too heavy does not go unseen.
import { readdirSync, readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";

const dist = new URL("../dist/", import.meta.url);
const assets = readdirSync(new URL("assets/", dist)).map((name) => `assets/${name}`);
const weight = (names) =>
  names.reduce((sum, name) => sum + gzipSync(readFileSync(new URL(name, dist)), { level: 9 }).length, 0);

const html = readFileSync(new URL("index.html", dist), "utf8");
const first = [...html.matchAll(/(?:src|href)="\/(assets\/[^"]+\.js)"/g)].map(([, name]) => name);
const rows = [
  ["first load, script", weight(first), 40],
  ["whole app, script", weight(assets.filter((name) => name.endsWith(".js"))), 60],
  ["styles", weight(assets.filter((name) => name.endsWith(".css"))), 10],
  ["worker", weight(["sw.js"]), 5],
];
for (const [what, bytes, bar] of rows)
  console.log(`${what.padEnd(20)} ${String(bytes).padStart(7)} B of ${bar * 1024}`);
process.exitCode = first.length === 0 || rows.some(([, bytes, bar]) => bytes > bar * 1024) ? 1 : 0;
