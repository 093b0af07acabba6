// Offers a new version of the page and takes it only when the person says so; the reload loses nothing, since what is
// typed is on the device.
import { signal } from "@preact/signals";

export const updateReady = signal(false);
let registration: ServiceWorkerRegistration | undefined;
let wanted = false;

export function takeUpdate(): void {
  wanted = true;
  registration?.waiting?.postMessage("activate");
}

function look(): void {
  updateReady.value = Boolean(registration?.waiting && navigator.serviceWorker.controller);
}

async function register(): Promise<void> {
  registration = await navigator.serviceWorker.register("/sw.js");
  look();
  registration.addEventListener("updatefound", () => registration?.installing?.addEventListener("statechange", look));
}

export function startUpdates(): void {
  if (!("serviceWorker" in navigator) || import.meta.env.DEV) return;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (wanted) location.reload();
  });
  // A browser that refuses workers still has the page, only not without a network.
  register().catch(() => undefined);
}
