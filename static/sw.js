// The service worker only routes. The hub puts three lines before this text:
// VERSION; ASSETS, path → hash, made from every file of the app, so that nothing is
// forgotten; and SECOND, the same of what the app works without. A version is whole:
// one cache, filled as one and each file checked against its hash, or none. What is
// second comes into that cache later, a file at a time.
/* global VERSION, ASSETS, SECOND */
const prefix = 'coldbatch-';
const name = prefix + VERSION;

self.addEventListener('install', (e) => e.waitUntil(install()));
self.addEventListener('activate', (e) => e.waitUntil(activate()));
self.addEventListener('message', (e) => e.waitUntil(asked(e.data, e.ports[0])));
self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== location.origin) return;
  if (url.pathname.startsWith('/api/') || url.pathname === '/healthz' || url.pathname === '/sw.js') return;
  if (e.request.mode === 'navigate') e.respondWith(page(e.request));
  else if (ASSETS[url.pathname] || SECOND[url.pathname]) e.respondWith(kept(url.pathname, e.request));
});

async function install() {
  await caches.delete(name);
  const cache = await caches.open(name);
  try {
    await Promise.all(Object.keys(ASSETS).map((path) => take(cache, path, ASSETS[path])));
  } catch (err) {
    console.error('not kept for offline use:', err);
    await caches.delete(name);
    throw err;
  }
}

async function take(cache, path, integrity, signal) {
  const answer = await fetch(path, { integrity, signal, cache: 'no-store' });
  if (!answer.ok) throw new Error(`${path}: status ${answer.status}`);
  await cache.put(path, answer);
}

// activate drops the versions before, but for what is second and the same in this
// one. Where there was none before, the page that is open was served by the hub
// from these same files and is taken on at once.
async function activate() {
  const before = (await caches.keys()).filter((n) => n.startsWith(prefix) && n !== name);
  for (const n of before) await inherit(n).catch((err) => console.error('not taken over:', err));
  await Promise.all(before.map((n) => caches.delete(n)));
  if (!before.length) await self.clients.claim();
}

// inherit takes over from an older version's cache what is second, where its bytes
// are those of this version: an update does not cost the scanner.
async function inherit(older) {
  const [from, to] = [await caches.open(older), await caches.open(name)];
  for (const path in SECOND) {
    const had = await from.match(path);
    if (had && !(await to.match(path)) && (await hash(await had.clone().arrayBuffer())) === SECOND[path])
      await to.put(path, had);
  }
}

async function hash(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return `sha256-${btoa(String.fromCharCode(...sum))}`;
}

// fill fetches what is second and not here yet, and says whether now all of it is.
const patience = 80e3; // ms; a hub that takes the call and says nothing is given up
let filling = null;
const fill = () =>
  (filling ??= bring().finally(() => {
    filling = null;
  }));

async function bring() {
  if (!(await caches.has(name))) return false; // a newer version took over
  const cache = await caches.open(name);
  const got = await Promise.allSettled(
    Object.keys(SECOND).map(
      async (path) => (await cache.match(path)) || take(cache, path, SECOND[path], AbortSignal.timeout(patience)),
    ),
  );
  return got.every((one) => one.status === 'fulfilled');
}

// asked takes over from the version before when told so, fetches what is second,
// and says whether only one window is open.
async function asked(what, port) {
  if (what === 'take') await self.skipWaiting();
  if (what === 'fill') port.postMessage(await fill());
  if (what === 'alone?')
    port.postMessage((await self.clients.matchAll({ type: 'window', includeUncontrolled: true })).length < 2);
}

// page answers any path of the app with the one page; a file opened by itself is
// that file.
async function page(request) {
  const { pathname } = new URL(request.url);
  return kept(ASSETS[pathname] ? pathname : '/', request);
}

async function kept(path, request) {
  const cache = await caches.open(name);
  if (SECOND[path] && !(await cache.match(path))) await fill();
  return (await cache.match(path)) || fetch(request);
}
