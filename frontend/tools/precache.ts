// After the page is built: lists what was built, names that list by the hash of its contents and builds the
// service worker with it. So the worker changes exactly when the shell does, and the browser sees an update.
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join, relative, sep } from "node:path";
import { build, type Plugin } from "vite";

function filesBelow(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}

/** What the worker keeps: `/` stands for index.html, since a server may answer that name with a redirect. */
function shellOf(dist: string): { version: string; files: string[] } {
  const hash = createHash("sha256");
  const files: string[] = [];
  for (const path of filesBelow(dist)) {
    const name = relative(dist, path).split(sep).join("/");
    if (name === "sw.js" || /\.(gz|br|map)$/.test(name)) continue;
    hash.update(name).update(readFileSync(path));
    files.push(name === "index.html" ? "/" : `/${name}`);
  }
  return { version: hash.digest("hex").slice(0, 16), files };
}

export function precache(root: string): Plugin {
  const dist = join(root, "dist");
  return {
    name: "precache",
    apply: "build",
    closeBundle: {
      order: "post",
      sequential: true,
      async handler() {
        await build({
          configFile: false,
          root,
          logLevel: "warn",
          publicDir: false,
          define: { SHELL: JSON.stringify(shellOf(dist)) },
          build: {
            emptyOutDir: false,
            outDir: dist,
            rollupOptions: { input: join(root, "worker/sw.ts"), output: { format: "iife", entryFileNames: "sw.js" } },
          },
        });
      },
    },
  };
}
