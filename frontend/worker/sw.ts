// Keeps the page's own files, so that it opens without a network. It never puts an answer of the API into a cache,
// and it takes over only when the person asked for the new version.
declare const self: ServiceWorkerGlobalScope;
declare const SHELL: { version: string; files: string[] };

const name = `shell-${SHELL.version}`;

async function install(): Promise<void> {
  const shell = await caches.open(name);
  await shell.addAll(SHELL.files.map((file) => new Request(file, { cache: "reload" })));
}

async function activate(): Promise<void> {
  const old = (await caches.keys()).filter((key) => key.startsWith("shell-") && key !== name);
  await Promise.all(old.map((key) => caches.delete(key)));
  await self.clients.claim();
}

async function answer(request: Request): Promise<Response> {
  const shell = await caches.open(name);
  return (await shell.match(request.mode === "navigate" ? "/" : request)) ?? fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  if (event.data === "activate") void self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin || pathname.startsWith("/api/")) return;
  event.respondWith(answer(event.request));
});

export {};
