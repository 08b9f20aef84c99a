// The service worker only routes. The hub puts three lines before this text:
// VERSION; ASSETS, path → hash, made from every file of the app, so that nothing is
// forgotten; and GROUPS, name → the same of files that the app works without. A version
// is complete: one cache, filled as one and each file checked against its hash, or none.
// A group comes into that cache later, when a page asks for it by name.
/* global VERSION, ASSETS, GROUPS */
const prefix = 'coldbatch-';
const name = prefix + VERSION;
const LATER = Object.assign({}, ...Object.values(GROUPS)); // path → hash of the files of all groups

self.addEventListener('install', (e) => e.waitUntil(install()));
self.addEventListener('activate', (e) => e.waitUntil(activate()));
self.addEventListener('message', (e) => e.waitUntil(asked(e.data, e.ports[0])));
self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== location.origin) return;
  if (url.pathname.startsWith('/api/') || url.pathname === '/healthz' || url.pathname === '/sw.js') return;
  if (e.request.mode === 'navigate') e.respondWith(page(e.request));
  else if (ASSETS[url.pathname] || LATER[url.pathname]) e.respondWith(kept(url.pathname, e.request));
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

// activate drops the versions before, but for files of groups that are the same in this
// one. Where there was none before, the page that is open was served by the hub
// from these same files and is taken on at once.
async function activate() {
  const before = (await caches.keys()).filter((n) => n.startsWith(prefix) && n !== name);
  for (const n of before) await inherit(n).catch((err) => console.error('not taken over:', err));
  await Promise.all(before.map((n) => caches.delete(n)));
  if (!before.length) await self.clients.claim();
}

// inherit takes over from an older version's cache the files of groups whose bytes are
// those of this version: an update does not cost the scanner.
async function inherit(older) {
  const [from, to] = [await caches.open(older), await caches.open(name)];
  for (const path in LATER) {
    const had = await from.match(path);
    if (had && !(await to.match(path)) && (await hash(await had.clone().arrayBuffer())) === LATER[path])
      await to.put(path, had);
  }
}

async function hash(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return `sha256-${btoa(String.fromCharCode(...sum))}`;
}

// fill fetches the files of a group that are not here yet, and says whether it is
// complete now; a group that this version has not never is. A group is fetched once at a
// time.
const patience = 80e3; // ms; a hub that takes the call and says nothing is given up
const filling = new Map();
async function fill(group) {
  if (!GROUPS[group]) return false;
  if (!filling.has(group))
    filling.set(
      group,
      fetchGroup(GROUPS[group]).finally(() => filling.delete(group)),
    );
  return filling.get(group);
}

async function fetchGroup(files) {
  if (!(await caches.has(name))) return false; // a newer version took over
  const cache = await caches.open(name);
  const got = await Promise.allSettled(
    Object.keys(files).map(
      async (path) => (await cache.match(path)) || take(cache, path, files[path], AbortSignal.timeout(patience)),
    ),
  );
  return got.every((one) => one.status === 'fulfilled');
}

// asked takes over from the version before when told so, fetches a group ({fill: name}),
// and says whether only one window is open.
async function asked(what, port) {
  if (what === 'take') await self.skipWaiting();
  if (what.fill) port.postMessage(await fill(what.fill));
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
  if (LATER[path] && !(await cache.match(path))) await fill(Object.keys(GROUPS).find((g) => GROUPS[g][path]));
  return (await cache.match(path)) || fetch(request);
}
