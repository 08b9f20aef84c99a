// The service worker only routes. The hub puts three lines in front of this text:
// VERSION; ASSETS, which maps the path of every file of the app to its hash; and GROUPS,
// which maps a name to the same for files without which the app can start. A version is
// installed completely or not at all: all its assets go into one cache, and each file is
// checked against its hash. A group is added to that cache later, when a page asks for it
// by name; an update brings its groups along, because what worked offline must go on working.
/* global VERSION, ASSETS, GROUPS */
const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const cachePrefix = 'coldbatch-';
const cacheName = cachePrefix + VERSION;
const fileHashes = Object.assign({}, ...Object.values(GROUPS)); // path → hash of the files of all groups

worker.addEventListener('install', (e) => e.waitUntil(install()));
worker.addEventListener('activate', (e) => e.waitUntil(activate()));
worker.addEventListener('message', (e) => e.waitUntil(handleMessage(e.data, e.ports[0])));
worker.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== location.origin) return;
  if (url.pathname.startsWith('/api/') || url.pathname === '/healthz' || url.pathname === '/sw.js') return;
  if (e.request.mode === 'navigate') e.respondWith(servePage(e.request));
  else if (ASSETS[url.pathname] || fileHashes[url.pathname]) e.respondWith(serveCached(url.pathname, e.request));
});

async function install() {
  await caches.delete(cacheName);
  const cache = await caches.open(cacheName);
  try {
    await Promise.all(Object.keys(ASSETS).map((path) => addToCache(cache, path, ASSETS[path])));
    if (worker.registration.active) await installAllGroups();
  } catch (err) {
    console.error('not installed for offline use:', err);
    await caches.delete(cacheName);
    throw err;
  }
}

async function installAllGroups() {
  for (const name of await olderCaches()) await copyUnchanged(name);
  for (const group of Object.keys(GROUPS))
    if (!(await installGroup(group))) throw new Error(`the group ${group} is not complete`);
}

const olderCaches = async () => (await caches.keys()).filter((n) => n.startsWith(cachePrefix) && n !== cacheName);

async function addToCache(cache, path, integrity, signal) {
  const answer = await fetch(path, { integrity, signal, cache: 'no-store' });
  if (!answer.ok) throw new Error(`${path}: status ${answer.status}`);
  await cache.put(path, answer);
}

// activate deletes the caches of older versions, after it has copied files of groups that
// did not change. If there is no older version, the hub served the open page from these
// same files, so the worker takes control of it at once.
async function activate() {
  const older = await olderCaches();
  for (const n of older) await copyUnchanged(n).catch((err) => console.error('not copied:', err));
  await Promise.all(older.map((n) => caches.delete(n)));
  if (!older.length) await worker.clients.claim();
}

// copyUnchanged copies the files of groups that did not change from an older version's
// cache, so that an update does not fetch the scanner again.
async function copyUnchanged(olderName) {
  const [from, to] = [await caches.open(olderName), await caches.open(cacheName)];
  for (const path in fileHashes) {
    const file = await from.match(path);
    if (file && !(await to.match(path)) && (await sha256(await file.clone().arrayBuffer())) === fileHashes[path])
      await to.put(path, file);
  }
}

async function sha256(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return `sha256-${btoa(String.fromCharCode(...digest))}`;
}

// installGroup fetches the files of a group that are not in the cache yet, and says
// whether the group is complete now. It says no for a group that this version does not
// have. Calls for the same group share one fetch.
const fetchTimeout = 80e3; // ms until a hub that accepts the call and does not answer counts as unreachable
const installing = new Map();
async function installGroup(group) {
  if (!GROUPS[group]) return false;
  if (!installing.has(group))
    installing.set(
      group,
      fetchGroup(GROUPS[group]).finally(() => installing.delete(group)),
    );
  return installing.get(group);
}

async function fetchGroup(files) {
  if (!(await caches.has(cacheName))) return false; // a newer version took over
  const cache = await caches.open(cacheName);
  const fetchFile = (path) => addToCache(cache, path, files[path], AbortSignal.timeout(fetchTimeout));
  const results = await Promise.allSettled(
    Object.keys(files).map(async (path) => (await cache.match(path)) || fetchFile(path)),
  );
  return results.every((result) => result.status === 'fulfilled');
}

// handleMessage answers a page: 'take' replaces the running version with this one,
// {fill: name} installs a group, and 'alone?' asks whether only one window is open.
async function handleMessage(message, port) {
  if (message === 'take') await worker.skipWaiting();
  if (message.fill) port.postMessage(await installGroup(message.fill));
  if (message === 'alone?')
    port.postMessage((await worker.clients.matchAll({ type: 'window', includeUncontrolled: true })).length < 2);
}

// servePage answers a navigation: a path of a file with that file, and any other path
// with the app's only page.
async function servePage(request) {
  const { pathname } = new URL(request.url);
  return serveCached(ASSETS[pathname] ? pathname : '/', request);
}

// serveCached answers with the cached file, and with the hub's where there is none.
async function serveCached(path, request) {
  const cache = await caches.open(cacheName);
  const group = Object.keys(GROUPS).find((g) => GROUPS[g][path]);
  if (group && !(await cache.match(path))) await installGroup(group);
  return (await cache.match(path)) || fetch(request);
}
