// Starts the page: styles, router, session, worker, and what waits on the device.
import "./styles/tokens.css";
import "./styles/base.css";
import "./styles/shell.css";
import "./styles/parts.css";
import "./styles/form.css";
import "./styles/drawing.css";
import { effect } from "@preact/signals";
import { render } from "preact";
import { sendWaiting } from "../data/saving";
import { ask, standing } from "../data/session";
import { App } from "./App";
import { startIdle } from "./lock";
import { startRouter } from "./router";
import { startUpdates } from "./update";

const RETRY_MS = 20_000;

function wake(): void {
  if (document.visibilityState === "visible") void ask().then(sendWaiting);
}

startRouter();
startIdle();
startUpdates();
addEventListener("online", wake);
addEventListener("pageshow", wake);
document.addEventListener("visibilitychange", wake);
effect(() => {
  if (standing.value === "signed in") void sendWaiting();
});
setInterval(() => {
  if (standing.peek() === "out of reach") void ask();
  else void sendWaiting();
}, RETRY_MS);

const root = document.getElementById("page");
if (root) render(<App />, root);
