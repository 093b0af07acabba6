// The only place that fetches. JSON both ways, the CSRF token on every change, problem documents as `Problem`,
// no answer within 15 seconds as `Unreachable`. It keeps nothing and tries nothing twice.
import { signal } from "@preact/signals-core";
import { Problem, Unreachable } from "./problem";

const BASE = "/api/v1/";
const PATIENCE_MS = 15_000;

/** Whether the last request got any answer at all. */
export const reached = signal(true);
/** How often a request was answered "you are not signed in". */
export const refusals = signal(0);

let csrf = "";

export function setCsrf(token: string): void {
  csrf = token;
}

export type Method = "GET" | "POST" | "PUT" | "PATCH" | "DELETE";

export interface Call {
  readonly method?: Method;
  readonly body?: unknown;
  /** The version the change started from, without quotes; `new` sends If-None-Match: *. */
  readonly version?: number | "new";
  readonly signal?: AbortSignal;
}

export interface Answer<T> {
  readonly data: T;
  readonly status: number;
  /** The version the server holds now, where it said so. */
  readonly version: number | null;
}

export async function call<T>(
  path: string,
  { method = "GET", body, version, signal: given }: Call = {},
): Promise<Answer<T>> {
  const headers = new Headers({ Accept: "application/json" });
  if (body !== undefined) headers.set("Content-Type", "application/json");
  if (method !== "GET") headers.set("X-CSRFToken", csrf);
  if (version === "new") headers.set("If-None-Match", "*");
  else if (version !== undefined) headers.set("If-Match", `"${version}"`);
  const late = AbortSignal.timeout(PATIENCE_MS);
  const answer = await send(BASE + path, {
    method,
    headers,
    credentials: "same-origin",
    cache: "no-store",
    signal: given ? AbortSignal.any([late, given]) : late,
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  const data = await read(answer);
  if (answer.ok) return { data: data as T, status: answer.status, version: versionOf(answer) };
  if (answer.status === 401) refusals.value += 1;
  throw new Problem(answer.status, typeof data === "object" && data !== null ? (data as Record<string, unknown>) : {});
}

/** A file of the built page itself, such as a drawing; the worker has it when there is no network. */
export async function builtFile<T>(address: string): Promise<T> {
  const answer = await send(address, { credentials: "same-origin" });
  if (!answer.ok) throw new Unreachable();
  return (await answer.json()) as T;
}

export async function get<T>(path: string, given?: AbortSignal): Promise<T> {
  return (await call<T>(path, given ? { signal: given } : {})).data;
}

async function send(url: string, init: RequestInit): Promise<Response> {
  try {
    const answer = await fetch(url, init);
    reached.value = true;
    return answer;
  } catch (fault) {
    // A request that the page itself called off says nothing about the server.
    if (fault instanceof DOMException && fault.name === "AbortError") throw fault;
    reached.value = false;
    throw new Unreachable();
  }
}

async function read(answer: Response): Promise<unknown> {
  const text = await answer.text().catch(() => {
    throw new Unreachable();
  });
  if (text === "") return null;
  try {
    return JSON.parse(text);
  } catch {
    // A proxy's page instead of an answer: what the server did is as unknown as with none.
    if (answer.ok) throw new Unreachable();
    return null;
  }
}

function versionOf(answer: Response): number | null {
  const found = /"(\d+)"/.exec(answer.headers.get("ETag") ?? "");
  return found ? Number(found[1]) : null;
}
