// The service worker only routes. The hub puts two lines before this text: VERSION
// and ASSETS, path → hash, made from every file of the app, so that nothing is
// forgotten. A version is whole: one cache, filled as one and each file checked
// against its hash, or none.
/* global VERSION, ASSETS */
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
  else if (ASSETS[url.pathname]) e.respondWith(kept(url.pathname, e.request));
});

async function install() {
  await caches.delete(name);
  const cache = await caches.open(name);
  try {
    await Promise.all(Object.entries(ASSETS).map(async ([path, integrity]) => {
      const answer = await fetch(path, { integrity, cache: 'no-store' });
      if (!answer.ok) throw new Error(`${path}: status ${answer.status}`);
      await cache.put(path, answer);
    }));
  } catch (err) {
    console.error('not kept for offline use:', err);
    await caches.delete(name);
    throw err;
  }
}

// activate drops the versions before. Where there was none, the page that is open
// was served by the hub from these same files and is taken on at once.
async function activate() {
  const before = (await caches.keys()).filter((n) => n.startsWith(prefix) && n !== name);
  await Promise.all(before.map((n) => caches.delete(n)));
  if (!before.length) await self.clients.claim();
}

// asked takes over from the version before when told so, and says whether only
// one window is open.
async function asked(what, port) {
  if (what === 'take') await self.skipWaiting();
  if (what === 'alone?') port.postMessage((await self.clients.matchAll({ type: 'window', includeUncontrolled: true })).length < 2);
}

// page answers any path of the app with the one page; a file opened by itself is
// that file.
async function page(request) {
  const { pathname } = new URL(request.url);
  return kept(ASSETS[pathname] ? pathname : '/', request);
}

async function kept(path, request) {
  const cache = await caches.open(name);
  return (await cache.match(path)) || fetch(request);
}
