// The service worker: the app's files and one shell page are kept on the phone, so that it opens without the laptop. The server
// writes BUILD (a hash over all of it), FILES and ALONE (screens) in front. It touches nothing but GETs of this address, and never /api/.
/* global ALONE, BUILD, FILES */

const PREFIX = "pitcrew-";
const CACHE = PREFIX + BUILD;
const SHELL = "/shell";
const GENERATIONS = 2;
/** Screens that the shell draws by itself; for any other it is worth waiting. */
const DRAWN = new RegExp(`^/(${ALONE.join("|")})?(/|$)`);
/** A network that leads nowhere hangs instead of failing: how long to wait for a page, how long right after that happened, and how
 * long for the answer to a form, since the phone's own drawing does not have what was just sent. */
const PATIENCE = 2_500;
const LITTLE = 500;
const A_WHILE = 30_000;
let hungUntil = 0;
let sentUntil = 0;

self.addEventListener("install", (event) => event.waitUntil(keepAll()));
self.addEventListener("activate", (event) => event.waitUntil(dropOld().then(() => self.clients.claim())));
// A new worker waits until a page without a half-filled form asks for it; one in charge takes over a page that opened while it was starting.
self.addEventListener("message", (event) => {
  if (event.data === "activate") self.skipWaiting();
  if (event.data === "claim") event.waitUntil(self.clients.claim());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method === "POST" && request.mode === "navigate") sentUntil = Date.now() + A_WHILE;
  if (request.method !== "GET" || origin !== self.location.origin || pathname.startsWith("/api/")) return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (pathname.startsWith("/static/") || FILES.includes(pathname)) event.respondWith(file(request));
});

/** All or nothing: a redirect, an error or a foreign answer fails the installation, and the old worker stays. */
async function keepAll() {
  const cache = await caches.open(CACHE);
  try {
    await Promise.all([SHELL, ...FILES].map(async (path) => {
      const response = await fetch(path, { cache: "reload", redirect: "error", credentials: "omit" });
      if (!response.ok || response.type !== "basic") throw new Error(`${path} answered ${response.status}`);
      await cache.put(path, response);
    }));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

/** Pages that are still open may need files of the previous generation. */
async function dropOld() {
  const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(names.slice(0, Math.max(0, names.length - GENERATIONS + 1)).map((name) => caches.delete(name)));
}

/** The laptop's page while it answers, or else the shell. */
async function page(request) {
  const stop = new AbortController();
  const now = Date.now();
  const wait = now < sentUntil ? A_WHILE : now < hungUntil ? LITTLE : PATIENCE;
  sentUntil = 0;
  const timer = DRAWN.test(new URL(request.url).pathname) ? setTimeout(() => stop.abort(), wait) : 0;
  try {
    const response = await fetch(request, { signal: stop.signal });
    if (![502, 503, 504].includes(response.status)) return response;
  } catch {
    if (stop.signal.aborted) hungUntil = Date.now() + A_WHILE; // where there is no network or no laptop, it fails at once
  } finally {
    clearTimeout(timer);
  }
  return (await kept(SHELL)) ?? Response.error();
}

/** Files have their content in their name, so a kept one is never stale. */
async function file(request) {
  return (await kept(request)) ?? fetch(request);
}

/** From this generation, or else from the previous one. */
async function kept(request) {
  const own = await (await caches.open(CACHE)).match(request, { ignoreVary: true });
  if (own) return own;
  for (const name of (await caches.keys()).filter((other) => other.startsWith(PREFIX)).reverse()) {
    const found = await (await caches.open(name)).match(request, { ignoreVary: true });
    if (found) return found;
  }
  return undefined;
}
