// The frame around every screen: who is signed in, where, the standing caution, the lock and the offer of an update.
// A locked or signed-out page keeps its screen behind the sign-in, so that nothing typed goes.
import { useEffect } from "preact/hooks";
import { reached } from "../data/api";
import { fetchTables, tablesMissing } from "../data/lookups";
import { waiting } from "../data/saving";
import { ask, clinic, session, standing } from "../data/session";
import { Header } from "./Header";
import { locked } from "./lock";
import { place } from "./router";
import { SignIn } from "./SignIn";
import { type Found, prepare, retry, screenAt } from "./screens/screens";
import { takeUpdate, updateReady } from "./update";

export function App() {
  useEffect(() => void ask(), []);
  const user = session.value?.user;
  const closed = !user || locked.value || standing.value === "signed out";
  return (
    <>
      {user && (
        <div hidden={closed}>
          <Shell key={user.id + (clinic.value?.id ?? "")} />
        </div>
      )}
      {closed && <Door />}
    </>
  );
}

function Door() {
  if (standing.value === "asking") return <p class="door-note soft">One moment …</p>;
  if (standing.value !== "out of reach" || session.value?.user) return <SignIn />;
  return (
    <main class="door">
      <h1>No connection</h1>
      <p>
        The server cannot be reached, so nobody can sign in. What was entered on this device is kept.
        {waiting.value > 0 && ` Records that wait here to be sent: ${waiting.value}.`}
      </p>
      <button type="button" class="main" onClick={() => void ask()}>
        Try again
      </button>
    </main>
  );
}

function Shell() {
  useEffect(() => {
    void fetchTables();
    prepare();
  }, []);
  const { key, params, screen: Screen } = screenAt(place.value);
  return (
    <>
      <a class="skip" href="#main">
        To the content
      </a>
      <Header />
      <Notices />
      <main id="main" tabIndex={-1}>
        {typeof Screen === "string" ? <Unready why={Screen} /> : <Screen key={key} params={params} />}
      </main>
    </>
  );
}

function Notices() {
  return (
    <div class="notices" role="status">
      {!reached.value && <p>No connection. What you enter is kept on this device and sent later.</p>}
      {tablesMissing.value && (
        <p>
          The tables of this clinic could not be fetched, so nothing can be entered yet.{" "}
          <button type="button" onClick={() => void fetchTables()}>
            Fetch them again
          </button>
        </p>
      )}
      {updateReady.value && (
        <p>
          A new version is ready. Nothing typed is lost by it.{" "}
          <button type="button" onClick={takeUpdate}>
            Take it now
          </button>
        </p>
      )}
    </div>
  );
}

function Unready({ why }: { readonly why: Found["screen"] }) {
  if (why === "being fetched") return <p class="soft">One moment …</p>;
  return (
    <section class="screen">
      <h1>{why === "failed" ? "No connection" : "No such page"}</h1>
      {why === "failed" ? (
        <p>
          This screen could not be fetched.{" "}
          <button type="button" onClick={retry}>
            Try again
          </button>
        </p>
      ) : (
        <p>
          Nothing is kept at this address. <a href="/today">Today</a>
        </p>
      )}
    </section>
  );
}
