// Leaves no address in package-lock.json: npm already omits the registry's (see .npmrc), this takes out the
// authors' funding links as well. Run it after each `npm install` that changed the lock.
import { readFileSync, writeFileSync } from "node:fs";

const path = new URL("../package-lock.json", import.meta.url);
const lock = JSON.parse(readFileSync(path, "utf8"));
for (const entry of Object.values(lock.packages)) delete entry.funding;
writeFileSync(path, `${JSON.stringify(lock, null, 2)}\n`);
