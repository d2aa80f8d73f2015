// Keeps the pages that say they may be kept, for the member who opened them, and shows them without a connection, or
// where the answer is long in coming.
// A new release brings other files and so another version; the old one's files go with its last page.

const VERSION = "{{ version }}";
const FILES = {{ files|safe }};
const STATIC = "{{ static }}";
const AT_HAND = "{{ at_hand }}";
const MOST = {{ most }};
const DAYS = {{ days }};
const PATIENCE_MS = {{ patience_ms }};

const FILES_HERE = `files-${VERSION}`;
const ofPages = (version) => async (name) =>
  name.startsWith(`pages-${version}-`) && (await (await caches.open(name)).keys()).length > 0;
const isFresh = (answer) => Date.now() - Date.parse(answer.headers.get("Date")) < DAYS * 24 * 60 * 60 * 1000;

self.addEventListener("install", (event) => {
  const asked = [...FILES, AT_HAND].map((file) => new Request(file, { cache: "reload", credentials: "omit" }));
  event.waitUntil(caches.open(FILES_HERE).then((cache) => cache.addAll(asked)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(tidy().then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => event.waitUntil(page(event, new Request(event.data))));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event, request));
  else if (request.method === "GET" && url.pathname.startsWith(STATIC)) event.respondWith(file(request));
});

async function file(request) {
  try {
    return await fetch(request);
  } catch (error) {
    const kept = await caches.match(request, { ignoreVary: true });
    if (kept) return kept;
    throw error;
  }
}

async function page(event, request) {
  const answer = fetch(request);
  event.waitUntil(answer.then((got) => keepIfMarked(request, got), () => {})); // also an answer that comes too late
  try {
    return (await soon(answer)) ?? (await keptOf(request)) ?? (await answer);
  } catch {
    return withoutConnection(request);
  }
}

const soon = (answer) => Promise.race([answer, new Promise((resolve) => setTimeout(resolve, PATIENCE_MS))]);

async function keepIfMarked(request, answer) {
  const member = answer.headers.get("X-Kept-For");
  if (member && answer.ok && !answer.redirected && request.method === "GET") {
    await keep(request.url, answer.clone(), member);
  }
}

async function keep(url, answer, member) {
  const cache = await caches.open(`pages-${VERSION}-${member}`);
  for (const name of await caches.keys()) {
    if (name.startsWith("pages-")) await (await caches.open(name)).delete(url, { ignoreVary: true });
  }
  await cache.put(url, answer);
  await tidy();
}

// Drop pages that are too old or too many, and the files of releases of which no page is left.
async function tidy() {
  const names = await caches.keys();
  for (const name of names.filter((name) => name.startsWith("pages-"))) {
    const cache = await caches.open(name);
    const requests = await cache.keys();
    for (const [at, request] of requests.entries()) {
      const tooMany = at < requests.length - MOST;
      if (tooMany || !isFresh(await cache.match(request, { ignoreVary: true }))) await cache.delete(request);
    }
  }
  for (const name of names.filter((name) => name.startsWith("files-") && name !== FILES_HERE)) {
    const left = await Promise.all(names.map(ofPages(name.slice("files-".length))));
    if (!left.some(Boolean)) await caches.delete(name);
  }
}

// The copy on this device, marked as one; nothing where there is none.
async function keptOf(request) {
  if (request.method !== "GET") return undefined;
  for (const name of (await caches.keys()).filter((name) => name.startsWith("pages-"))) {
    const kept = await (await caches.open(name)).match(request.url, { ignoreVary: true });
    if (kept && isFresh(kept)) return marked(kept);
  }
  return undefined;
}

async function withoutConnection(request) {
  const kept = await keptOf(request);
  if (kept) return kept;
  const atHand = await caches.match(AT_HAND, { ignoreVary: true });
  if (new URL(request.url).pathname === AT_HAND) return marked(atHand);
  return marked(atHand, request.method === "GET" ? "data-not-at-hand" : "data-not-sent");
}

// The page with a word to its own scripts: since when it is kept, and that it stands for another.
async function marked(answer, standsFor = "") {
  const headers = new Headers(answer.headers);
  for (const header of ["Content-Encoding", "Content-Length"]) headers.delete(header);
  const text = await answer.text();
  const marks = `data-kept-at="${headers.get("Date")}" ${standsFor}`;
  return new Response(text.replace("<html", `<html ${marks}`), { headers });
}
