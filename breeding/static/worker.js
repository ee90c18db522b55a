// The service worker: pages that may be kept are read from the server while it answers, and from this
// device, as of their time, while it does not. Nothing that is sent passes through here.
//
// Three shelves: `who` (whose pages these are), `pages` (theirs; thrown away when somebody else signs in or
// nobody is), `parts` (style, scripts, pictures). A page says by a header whether it may be kept, and for whom.
"use strict";

const HEADER = "X-Readable-Offline", KEPT_AT = "X-Kept-At", GOES_ON = "X-Goes-On-At";
const WHO = "who-1", PAGES = "pages-1", PARTS = "parts-1";
const NO_NETWORK = "/no-network/", SIGN_IN = "/sign-in/";
const PATIENCE_MS = 8_000, MOST_PAGES = 120, MOST_AHEAD = 60, MOST_PARTS = 400, FRESH_MS = 600_000;
const HASHED = /\.[0-9a-f]{12}\.[a-z0-9]+$/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(begin()));

async function begin() {
  for (const name of await caches.keys()) if (![WHO, PAGES, PARTS].includes(name)) await caches.delete(name);
  await self.clients.claim();
}

// ---------------------------------------------------------------- whose pages these are

async function whose() {
  const told = await (await caches.open(WHO)).match("/");
  return told ? told.text() : "";
}

// One after the other: two that both find somebody else's would throw away what the other has put there.
let turn = Promise.resolve();
function belongsTo(person) {
  turn = turn.then(() => handOver(person), () => handOver(person));
  return turn;
}

async function handOver(person) {
  if ((await whose()) === person) return;
  await caches.delete(PAGES);
  await caches.delete(PARTS);
  await (await caches.open(WHO)).put("/", new Response(person));
}

// ---------------------------------------------------------------- keeping

const nameOf = (url) => {
  const { pathname, search } = new URL(url);
  return pathname + search;
};

async function keepPage(address, answer) {
  const person = answer.headers.get(HEADER);
  if (!person || !answer.ok || answer.redirected) return;
  await belongsTo(person);
  const headers = new Headers(answer.headers);
  for (const packed of ["Content-Encoding", "Content-Length"]) headers.delete(packed); // it is unpacked here
  headers.set(KEPT_AT, new Date().toISOString());
  const shelf = await caches.open(PAGES);
  await shelf.delete(address); // so that it is the youngest
  await shelf.put(address, new Response(await answer.blob(), { headers }));
  await shorten(shelf, MOST_PAGES);
}

async function shorten(shelf, most) {
  const kept = await shelf.keys();
  for (const old of kept.slice(0, Math.max(0, kept.length - most))) await shelf.delete(old);
}

async function keepPart(request, answer) {
  if (answer.status !== 200 || !(await whose())) return;
  const shelf = await caches.open(PARTS);
  await shelf.put(request, answer);
  await shorten(shelf, MOST_PARTS);
}

// ---------------------------------------------------------------- answering

// The page of a form whose script chooses whom the address names, kept without any name.
async function ofWhomeverNamed(shelf, address) {
  const [path, named] = address.split("?");
  const kept = named?.startsWith("female=") ? await shelf.match(path) : undefined;
  return kept && (await kept.clone().text()).includes(" data-log>") ? kept : undefined;
}

async function keptPage(address) {
  const shelf = await caches.open(PAGES);
  const kept =
    (await shelf.match(address)) ?? (await ofWhomeverNamed(shelf, address)) ?? (await shelf.match(NO_NETWORK));
  if (!kept) return undefined;
  // The page itself says as of when it is, in the words it carries for that.
  const html = (await kept.text()).replace("<body", `<body data-as-of="${kept.headers.get(KEPT_AT)}"`);
  return new Response(html, { headers: { "Content-Type": "text/html; charset=utf-8" } });
}

const after = (ms) => new Promise((done) => setTimeout(done, ms));

async function page(event) {
  const address = nameOf(event.request.url);
  const asked = fetch(event.request);
  const shelving = asked.then((answer) => heard(address, answer.clone()), () => undefined);
  event.waitUntil(shelving);
  const answered = asked.catch(() => undefined);
  const isKept = Boolean(await (await caches.open(PAGES)).match(address));
  const answer = await (isKept ? Promise.race([answered, after(PATIENCE_MS)]) : answered);
  return answer ?? (await keptPage(address)) ?? Response.error();
}

// Whoever is asked to sign in has no pages here any more.
async function heard(address, answer) {
  const isSignedOut = answer.type === "opaqueredirect" ? false : nameOf(answer.url).startsWith(SIGN_IN);
  if (isSignedOut) await belongsTo("");
  else await keepPage(address, answer);
}

async function part(event) {
  const kept = await caches.match(event.request, { cacheName: PARTS });
  if (kept && HASHED.test(new URL(event.request.url).pathname)) return kept;
  try {
    const answer = await fetch(event.request);
    event.waitUntil(keepPart(event.request, answer.clone()));
    return answer;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

const isPart = (request) => ["style", "script", "image", "font", "manifest"].includes(request.destination);

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || new URL(request.url).origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event));
  else if (isPart(request)) event.respondWith(part(event));
});

// ---------------------------------------------------------------- what a page tells

// What a page needs to look and work as it should, though it was never opened on this device.
const PART = /<(?:link rel="stylesheet" href|script src)="([^"]+)"/g;
const partsOf = async (answer) => [...(await answer.text()).matchAll(PART)].map((found) => found[1]);

async function fetchAhead(person, addresses) {
  await belongsTo(person);
  const shelf = await caches.open(PAGES);
  const left = addresses.slice(0, MOST_AHEAD);
  const parts = new Set();
  for (let number = 0; number < left.length && number < MOST_AHEAD; number += 1) {
    const address = left[number];
    let answer = await shelf.match(address);
    if (!answer || Date.now() - Date.parse(answer.headers.get(KEPT_AT)) >= FRESH_MS) {
      try {
        answer = await fetch(address, { headers: { "X-Ahead": "1" }, redirect: "manual" });
        if (answer.headers.get(HEADER) === person) await keepPage(address, answer.clone());
      } catch {
        break;
      }
    }
    for (const part of await partsOf(answer)) parts.add(part);
    const next = answer.headers.get(GOES_ON); // a page that has pages is kept whole
    if (next && !left.includes(next)) left.push(next);
  }
  return parts;
}

async function keepParts(addresses) {
  const shelf = await caches.open(PARTS);
  for (const address of addresses) {
    if (await shelf.match(address)) continue;
    try {
      await keepPart(address, await fetch(address));
    } catch {
      return;
    }
  }
}

self.addEventListener("message", (event) => {
  const { person, ahead, parts } = event.data;
  event.waitUntil(fetchAhead(person, ahead).then((theirs) => keepParts(new Set([...parts, ...theirs]))));
});
