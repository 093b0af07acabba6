// The head of every screen: the mark, the ways in by role, the clinic, the person, and the standing caution.

import { waiting } from "../data/saving";
import { chooseClinic, clinic, may, session, signOut } from "../data/session";
import { lock } from "./lock";
import { go, place } from "./router";

const WAYS = [
  { to: "/today", word: "Today", act: "treatment:read" },
  { to: "/review", word: "Weekly review", act: "review:read" },
  { to: "/referrals", word: "Referrals", act: "referral:read" },
] as const;

export function Header() {
  const here = place.value === "/" ? "/today" : place.value;
  return (
    <header class="head">
      <div class="head-row">
        <a class="wordmark" href="/today">
          <img src="/mark.svg" alt="" width="28" height="28" /> Ropeladder
        </a>
        <nav aria-label="Screens">
          {WAYS.filter(({ act }) => may(act)).map(({ to, word }) => (
            <a key={to} href={to} aria-current={here.startsWith(to) ? "page" : undefined}>
              {word}
            </a>
          ))}
        </nav>
        <Person />
      </div>
      <p class="head-line">
        <strong>{clinic.value?.name}</strong>
        {clinic.value?.is_demo && <span class="invented">Invented patients</span>}
        {waiting.value > 0 && <span>{waiting.value} kept on this device, not yet sent</span>}
        <span class="caution">
          Decision support for trained staff. Examine the access; follow local protocol and the prescriber’s orders.
        </span>
      </p>
    </header>
  );
}

function Person() {
  const who = session.value;
  const here = who?.clinics.find(({ id }) => id === clinic.value?.id);
  return (
    <>
      <button type="button" class="person" popovertarget="person">
        {who?.user?.name}
      </button>
      <div id="person" popover="auto" class="person-card">
        <p>
          <strong>{who?.user?.name}</strong>
          <br />
          <span class="soft">{here?.post || here?.roles.join(", ")}</span>
        </p>
        {who?.clinics
          .filter(({ id }) => id !== clinic.value?.id)
          .map(({ id, name }) => (
            <button key={id} type="button" onClick={() => void chooseClinic(id).then(() => go("/today"))}>
              Go to {name}
            </button>
          ))}
        <button type="button" class="main" onClick={lock}>
          Lock the screen
        </button>
        <button type="button" onClick={() => void signOut()}>
          Sign out
        </button>
      </div>
    </>
  );
}
