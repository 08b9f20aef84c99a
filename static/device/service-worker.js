// The service worker: put in place, its updates offered and never forced. The
// app's code changes when the person says so, or at a start with no other window
// open, before anything is on the screen.
import { signal } from '@preact/signals';
import { showToast } from './toast.js';

// applyUpdate is a function that takes a waiting update, or null where none waits.
export const applyUpdate = signal(/** @type {(() => void) | null} */ (null));

// isOfflineReady says whether the app is whole on this phone.
export const isOfflineReady = signal(false);

// isGroupReady gives a signal that says whether a group of files that comes after the app
// is complete on this phone.
const groups = new Map();
export function isGroupReady(name) {
  if (!groups.has(name)) groups.set(name, signal(false));
  return groups.get(name);
}

// isScannerReady says whether the scanner is.
export const isScannerReady = isGroupReady('scanner');

// isTrusted says whether this phone trusts the hub, null until that is known. The
// worker alone tells: a browser that was told to go on in spite of its warning
// shows the page as a safe one, and refuses the worker.
export const isTrusted = signal(/** @type {boolean | null} */ (null));

const workers = navigator.serviceWorker;
const isHttps = location.protocol === 'https:';

// applyWaitingUpdate takes an update that an earlier run left, if this is the only
// window. It gives true where the page is about to be loaded again.
export async function applyWaitingUpdate() {
  const waiting = (await workers?.getRegistration())?.waiting;
  if (!waiting || !workers.controller || !(await isOnlyWindow(waiting))) return false;
  activateWorker(waiting);
  return withTimeout(10e3, never, false); // the reload cuts this short
}

// isOnlyWindow asks the worker whether this is the only window. A worker that is slow to
// answer changes nothing: it is not told to take over.
const isOnlyWindow = (worker) => withTimeout(1000, askWorker(worker, 'alone?'), false);

// askWorker says a word to the worker and gives its answer.
function askWorker(worker, word) {
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((done) => {
    port1.onmessage = (e) => done(e.data);
  });
  worker.postMessage(word, [port2]);
  return answer;
}

// never is a promise that is not fulfilled: it is waited for until the time is up.
const never = new Promise(() => undefined);

/**
 * withTimeout gives what comes of a promise, or else after so many ms.
 * @type {(ms: number, promise: Promise<any>, otherwise?: any) => Promise<any>}
 */
const withTimeout = (ms, promise, otherwise) =>
  Promise.race([promise, new Promise((done) => setTimeout(() => done(otherwise), ms))]);

// registerServiceWorker puts the worker in place and watches for updates.
export async function registerServiceWorker() {
  if (workers?.controller) isTrusted.value = true;
  if (!workers && isHttps) isTrusted.value = false;
  if (!workers) return;
  const reg = await registerUntilTrusted();
  const offer = () => {
    if (reg.waiting && workers.controller) applyUpdate.value = () => activateWorker(reg.waiting);
  };
  offer();
  let before = workers.controller;
  workers.addEventListener('controllerchange', () => {
    // another window took the update: this one's turn is offered
    if (before) applyUpdate.value = () => location.reload();
    before = workers.controller;
  });
  reg.addEventListener('updatefound', () => reg.installing?.addEventListener('statechange', offer));
  const look = () => {
    if (isVisible()) reg.update().catch(() => undefined); // out of reach: asked again in an hour
  };
  setInterval(look, 3600e3);
  document.addEventListener('visibilitychange', look);
  await workers.ready;
  isOfflineReady.value = true;
  announceOfflineOnce();
  loadGroup('scanner');
}

// loadGroup has the worker fetch a group of files by its name, again and again until it is
// here: after longer and longer waits, and whenever the app is shown.
export async function loadGroup(name) {
  const ready = isGroupReady(name);
  const { active } = await workers.ready;
  for (let wait = 10e3; !ready.value; wait = Math.min(2 * wait, 600e3)) {
    ready.value = await withTimeout(90e3, askWorker(active, { fill: name }), false);
    if (!ready.value) await withTimeout(wait, nextVisible());
  }
}

const isVisible = () => document.visibilityState === 'visible';

// registerUntilTrusted registers the worker. Chromium says when it refuses for want of trust; of
// a browser that does not, that is believed where it fails again while the page
// itself gets the script: a hub out of reach tells nothing. It is tried anew
// whenever the app is shown, for the person was in the settings meanwhile, or came
// near the hub.
async function registerUntilTrusted() {
  for (let before = false; ; before = true) {
    try {
      const reg = await workers.register('/sw.js', { updateViaCache: 'none' });
      isTrusted.value = true;
      return reg;
    } catch (err) {
      if (
        err.name === 'SecurityError' ||
        (before &&
          isHttps &&
          (await withTimeout(
            4000,
            fetch('/sw.js', { cache: 'no-store' }).then(
              (a) => a.ok,
              () => false,
            ),
            false,
          )))
      )
        isTrusted.value = false;
    }
    if (before) await nextVisible();
    else await withTimeout(2000, never);
  }
}

const nextVisible = () =>
  new Promise((/** @type {(value?: undefined) => void} */ done) => {
    const look = () => {
      if (!isVisible()) return;
      document.removeEventListener('visibilitychange', look);
      done();
    };
    document.addEventListener('visibilitychange', look);
  });

// activateWorker lets a waiting worker take over and loads the page again. Chromium may
// forget to let the running worker go while it is idle, for ten seconds and more
// (seen in 156), until the browser itself asks it for a file: the script of a
// worker is one.
function activateWorker(waiting) {
  applyUpdate.value = null;
  const nudge = setInterval(() => new Worker('/core/core-worker.js').terminate(), 500);
  workers.addEventListener(
    'controllerchange',
    () => {
      clearInterval(nudge);
      location.reload();
    },
    { once: true },
  );
  waiting.postMessage('take');
}

function announceOfflineOnce() {
  if (isFirstAnnouncement()) showToast('Ready to work offline');
}

// isFirstAnnouncement says whether it was not announced before, and remembers that it is now.
function isFirstAnnouncement() {
  const key = 'coldbatch.offline';
  try {
    if (localStorage.getItem(key)) return false;
    localStorage.setItem(key, 'said');
    return true;
  } catch {
    return false; // nothing is stored here, not even the app
  }
}
