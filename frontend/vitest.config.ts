// The pure logic of data/ and page/ is tested here; whatever needs a browser is tested by the journeys in Python.
import { defineConfig } from "vitest/config";

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: { include: ["{data,page,worker}/**/*.test.{ts,tsx}"], environment: "node" },
});
