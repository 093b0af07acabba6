// Builds the page into dist/, which the server hands out at the root, so that the worker's scope is `/`.
// No plugin for Preact is needed: Vite reads the JSX settings from the tsconfig beside the file.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vite";
import { precache } from "./tools/precache.ts";

const root = fileURLToPath(new URL(".", import.meta.url));
const server = process.env["ROPELADDER_SERVER"] ?? "http://127.0.0.1:8000";

export default defineConfig({
  root,
  base: "/",
  plugins: [precache(root)],
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "dist",
    target: "es2022",
    assetsInlineLimit: 0,
    // One style sheet, and two pieces of script: what `main.tsx` reaches at once, and `screens/later.ts` with the rest.
    cssCodeSplit: false,
    modulePreload: { polyfill: false },
  },
  server: { proxy: { "/api": server } },
});
