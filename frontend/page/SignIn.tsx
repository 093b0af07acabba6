// Sign-in, and unlocking, which is signing in again at the same place. The server's words say what went wrong, also
// when too many wrong tries have locked the name for a while.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Problem } from "../data/problem";
import { session, signIn, standing } from "../data/session";
import { locked, unlock } from "./lock";

const LAST_NAME = "last-name";
// By it the server knows who had signed in here, and takes one person's entry from another.
const TABLET = "tablet";

export function SignIn() {
  const trouble = useSignal("");
  const busy = useSignal(false);
  const form = useRef<HTMLFormElement>(null);
  const known = sessionStorage.getItem(LAST_NAME) ?? "";
  useEffect(() => form.current?.querySelector<HTMLInputElement>(known ? "[type=password]" : "input")?.focus(), [known]);

  async function submit(event: SubmitEvent): Promise<void> {
    event.preventDefault();
    const given = new FormData(event.currentTarget as HTMLFormElement);
    const name = String(given.get("username"));
    busy.value = true;
    trouble.value = "";
    try {
      const tablet = String(given.get("tablet"));
      await signIn(name, String(given.get("password")), tablet);
      sessionStorage.setItem(LAST_NAME, name);
      localStorage.setItem(TABLET, tablet);
      unlock();
    } catch (fault) {
      trouble.value = wordsFor(fault);
    } finally {
      busy.value = false;
    }
  }

  return (
    <main class="door">
      <img src="/mark.svg" alt="" width="56" height="56" />
      <h1>{locked.value && session.value?.user ? "Locked" : "Ropeladder"}</h1>
      <p class="soft">{leadFor()}</p>
      <form ref={form} onSubmit={submit} aria-label="Sign in">
        <label>
          Name at sign-in
          <input name="username" required autocomplete="username" autocapitalize="none" defaultValue={known} />
        </label>
        <label>
          Password
          <input name="password" type="password" required autocomplete="current-password" />
        </label>
        <label>
          Name of this tablet, if it is shared
          <input name="tablet" maxLength={60} autocomplete="off" defaultValue={localStorage.getItem(TABLET) ?? ""} />
        </label>
        <p class="trouble" role="alert">
          {trouble.value}
        </p>
        <button type="submit" class="main" disabled={busy.value}>
          {locked.value && session.value?.user ? "Unlock" : "Sign in"}
        </button>
      </form>
      <p class="small soft">
        Decision support for trained staff. Examine the access; follow local protocol and the prescriber’s orders.
      </p>
    </main>
  );
}

function leadFor(): string {
  const user = session.value?.user;
  if (locked.value && user)
    return `Locked for ${user.name}. Nothing typed was lost. Anyone of the clinic may sign in here.`;
  if (user && standing.value === "signed out")
    return "Your sign-in has ended. Nothing typed was lost; sign in to send it.";
  return "The access, from the chair to the referral.";
}

function wordsFor(fault: unknown): string {
  if (fault instanceof Problem) return fault.words;
  return "The server cannot be reached. Try again when there is a connection.";
}
