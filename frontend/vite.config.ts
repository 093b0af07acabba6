// Builds the page into dist/, which the server hands out at the root, so that the worker's scope is `/`.
// No plugin for Preact is needed: Vite reads the JSX settings from the tsconfig beside the file.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vite";
import { precache } from "./tools/precache.ts";

const root = fileURLToPath(new URL(".", import.meta.url));
const server = process.env["ROPELADDER_SERVER"] ?? "http://127.0.0.1:8000";
// What several screens use is one piece, since many small ones weigh more; the map belongs to the treatment alone.
const SHARED =
  /frontend\/(page\/(parts\/(?!AccessMap|map-|geometries)|kept|sending|width|load)|data\/(?!centre|test-forms))/;

export default defineConfig({
  root,
  base: "/",
  plugins: [precache(root)],
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "dist",
    target: "es2022",
    assetsInlineLimit: 0,
    // One style sheet, and only the first page is told what to fetch ahead: the worker has all files anyway.
    cssCodeSplit: false,
    modulePreload: {
      polyfill: false,
      resolveDependencies: (_file, needed, { hostType }) => (hostType === "html" ? needed : []),
    },
    rollupOptions: { output: { codeSplitting: { groups: [{ name: "shared", test: SHARED }] } } },
  },
  server: { proxy: { "/api": server } },
});
