// Registers the service worker, and offers its updates without forcing them. The app's code
// changes when the person asks for it, or at a start with no other window open, before
// anything is on the screen.
import { signal } from '@preact/signals';
import { errorName } from '../core/fault.js';
import { announce } from './toast.js';

// applyUpdate is a function that takes a waiting update, or null where none waits.
export const applyUpdate = signal(/** @type {(() => void) | null} */ (null));

// isOfflineReady says whether all of the app is installed on this phone.
export const isOfflineReady = signal(false);

// isGroupReady returns a signal that says whether a group of files, which is installed after
// the app, is complete on this phone.
const groupSignals = new Map();
export function isGroupReady(name) {
  if (!groupSignals.has(name)) groupSignals.set(name, signal(false));
  return groupSignals.get(name);
}

// isScannerReady says whether the scanner is installed.
export const isScannerReady = isGroupReady('scanner');

// isTrusted says whether this phone trusts the hub's certificate; it is null until that is
// known. Only registering the worker shows it: if the person passed the browser's warning,
// the page looks secure, but the browser refuses the worker.
export const isTrusted = signal(/** @type {boolean | null} */ (null));

const workers = navigator.serviceWorker;
const isHttps = location.protocol === 'https:';

// applyWaitingUpdate installs an update that has waited since an earlier run, if this is the
// only window. It returns true if the page is about to reload.
export async function applyWaitingUpdate() {
  const waiting = (await workers?.getRegistration())?.waiting;
  if (!waiting || !workers.controller || !(await isOnlyWindow(waiting))) return false;
  activateWorker(waiting);
  return resultOrAfter(10e3, neverSettles, false); // the reload cuts this short
}

// isOnlyWindow asks the worker whether this is the only window. If the worker is slow to
// answer, the answer is no.
const isOnlyWindow = (worker) => resultOrAfter(1000, askWorker(worker, 'alone?'), false);

// askWorker sends the worker a message and returns its answer.
function askWorker(worker, message) {
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((done) => {
    port1.onmessage = (e) => done(e.data);
  });
  worker.postMessage(message, [port2]);
  return answer;
}

// neverSettles is a promise that never settles: resultOrAfter(ms, neverSettles) just waits.
const neverSettles = new Promise(() => undefined);

/**
 * resultOrAfter returns the result of a promise, or otherwise after ms.
 * @type {(ms: number, promise: Promise<any>, otherwise?: any) => Promise<any>}
 */
const resultOrAfter = (ms, promise, otherwise) =>
  Promise.race([promise, new Promise((done) => setTimeout(() => done(otherwise), ms))]);

// registerServiceWorker registers the worker and watches for updates.
export async function registerServiceWorker() {
  if (workers?.controller) isTrusted.value = true;
  if (!workers && isHttps) isTrusted.value = false;
  if (!workers) return;
  const registration = await registerUntilTrusted();
  const offerUpdate = () => {
    if (registration.waiting && workers.controller) applyUpdate.value = () => activateWorker(registration.waiting);
  };
  offerUpdate();
  let before = workers.controller;
  workers.addEventListener('controllerchange', () => {
    // another window applied the update: offer to reload this one
    if (before) applyUpdate.value = () => location.reload();
    before = workers.controller;
  });
  registration.addEventListener('updatefound', () =>
    registration.installing?.addEventListener('statechange', offerUpdate),
  );
  const checkForUpdate = () => {
    if (isVisible()) registration.update().catch(() => undefined); // out of reach: it asks again in an hour
  };
  setInterval(checkForUpdate, 3600e3);
  document.addEventListener('visibilitychange', checkForUpdate);
  await workers.ready;
  await loadGroup('extra');
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
    ready.value = await resultOrAfter(90e3, askWorker(active, { fill: name }), false);
    if (!ready.value) await resultOrAfter(wait, nextVisible());
  }
}

const isVisible = () => document.visibilityState === 'visible';

// registerUntilTrusted registers the worker, and tries again until that works. Chromium says
// if it refuses because it does not trust the certificate. Other browsers do not say, so we
// assume it if registering fails twice while the page itself can fetch the script; a hub out
// of reach says nothing about trust. It tries again whenever the app is shown, because the
// person may have changed the settings or come near the hub.
async function registerUntilTrusted() {
  for (let before = false; ; before = true) {
    try {
      const registration = await workers.register('/sw.js', { updateViaCache: 'none' });
      isTrusted.value = true;
      return registration;
    } catch (err) {
      if (
        errorName(err) === 'SecurityError' ||
        (before &&
          isHttps &&
          (await resultOrAfter(
            4000,
            fetch('/sw.js', { cache: 'no-store' }).then(
              (response) => response.ok,
              () => false,
            ),
            false,
          )))
      )
        isTrusted.value = false;
    }
    if (before) await nextVisible();
    else await resultOrAfter(2000, neverSettles);
  }
}

const nextVisible = () =>
  new Promise((/** @type {(value?: undefined) => void} */ done) => {
    const check = () => {
      if (!isVisible()) return;
      document.removeEventListener('visibilitychange', check);
      done();
    };
    document.addEventListener('visibilitychange', check);
  });

// activateWorker activates a waiting worker and reloads the page. While the running worker is
// idle, Chromium can take ten seconds and more to stop it (seen in 156), unless the browser
// itself asks it for a file. Starting a web worker does that, since its script is a file.
function activateWorker(waiting) {
  applyUpdate.value = null;
  const wakeTimer = setInterval(() => new Worker('/core/core-worker.js').terminate(), 500);
  workers.addEventListener(
    'controllerchange',
    () => {
      clearInterval(wakeTimer);
      location.reload();
    },
    { once: true },
  );
  waiting.postMessage('take');
}

function announceOfflineOnce() {
  if (isFirstAnnouncement()) announce('Ready to work offline');
}

// isFirstAnnouncement says whether it is announced for the first time, and remembers it.
function isFirstAnnouncement() {
  const key = 'coldbatch.offline';
  try {
    if (localStorage.getItem(key)) return false;
    localStorage.setItem(key, 'said');
    return true;
  } catch {
    return false; // this browser stores nothing, not even the app
  }
}
