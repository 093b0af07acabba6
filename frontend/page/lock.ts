// Locks the screen when nobody has touched it for ten minutes. Locking hides and keeps everything: nothing typed goes,
// nobody is signed out. A reload stays locked.
import { signal } from "@preact/signals";

const IDLE_MS = 10 * 60_000;
const LOCKED = "locked";
const TOUCHED = "touched";

function wasLocked(): boolean {
  const touched = Number(sessionStorage.getItem(TOUCHED) ?? Date.now());
  return sessionStorage.getItem(LOCKED) !== null || Date.now() - touched > IDLE_MS;
}

export const locked = signal(wasLocked());

export function lock(): void {
  sessionStorage.setItem(LOCKED, "yes");
  locked.value = true;
}

export function unlock(): void {
  sessionStorage.removeItem(LOCKED);
  touch();
  locked.value = false;
}

let last = Date.now();

function touch(): void {
  last = Date.now();
  sessionStorage.setItem(TOUCHED, String(last));
}

function look(): void {
  if (!locked.value && Date.now() - last > IDLE_MS) lock();
}

export function startIdle(): void {
  if (!locked.value) touch();
  for (const kind of ["pointerdown", "keydown"]) {
    addEventListener(
      kind,
      () => {
        // Timers sleep with the tablet: the first touch after a long sleep must lock before it counts.
        look();
        if (!locked.value) touch();
      },
      { capture: true, passive: true },
    );
  }
  document.addEventListener("visibilitychange", look);
  setInterval(look, 5_000);
}
