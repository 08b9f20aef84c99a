// The service worker: put in place, its updates offered and never forced. The
// app's code changes when the person says so, or at a start with no other window
// open, before anything is on the screen.
import { signal } from '@preact/signals';
import { say } from './toast.js';

// update is a function that takes a waiting update, or null where none waits.
export const update = signal(null);

// offline says whether the app is whole on this phone.
export const offline = signal(false);

// scans says whether the scanner, which comes after the app, is whole on it too.
export const scans = signal(false);

// trusted says whether this phone trusts the hub, null until that is known. The
// worker alone tells: a browser that was told to go on in spite of its warning
// shows the page as a safe one, and refuses the worker.
export const trusted = signal(null);

const workers = navigator.serviceWorker;
const secure = location.protocol === 'https:';

// takeWaiting takes an update that an earlier run left, if this is the only
// window. It gives true where the page is about to be loaded again.
export async function takeWaiting() {
  const waiting = (await workers?.getRegistration())?.waiting;
  if (!waiting || !workers.controller || !(await alone(waiting))) return false;
  take(waiting);
  return within(10e3, new Promise(() => {}), false); // the reload cuts this short
}

// alone asks the worker whether this is the only window. A worker that is slow to
// answer changes nothing: it is not told to take over.
const alone = (worker) => within(1000, tell(worker, 'alone?'), false);

// tell says a word to the worker and gives its answer.
function tell(worker, word) {
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((done) => {
    port1.onmessage = (e) => done(e.data);
  });
  worker.postMessage(word, [port2]);
  return answer;
}

// within gives what comes of a promise, or else after so many ms.
const within = (ms, promise, otherwise) =>
  Promise.race([promise, new Promise((done) => setTimeout(() => done(otherwise), ms))]);

// register puts the worker in place and watches for updates.
export async function register() {
  if (workers?.controller) trusted.value = true;
  if (!workers && secure) trusted.value = false;
  if (!workers) return;
  const reg = await placed();
  const offer = () => {
    if (reg.waiting && workers.controller) update.value = () => take(reg.waiting);
  };
  offer();
  let before = workers.controller;
  workers.addEventListener('controllerchange', () => {
    // another window took the update: this one's turn is offered
    if (before) update.value = () => location.reload();
    before = workers.controller;
  });
  reg.addEventListener('updatefound', () => reg.installing?.addEventListener('statechange', offer));
  const look = () => {
    if (shown()) reg.update().catch(() => {});
  };
  setInterval(look, 3600e3);
  document.addEventListener('visibilitychange', look);
  const { active } = await workers.ready;
  offline.value = true;
  sayOnce();
  fill(active);
}

// fill has the worker fetch the scanner, again and again until it is here: after
// longer and longer waits, and whenever the app is shown.
async function fill(worker) {
  for (let wait = 10e3; !scans.value; wait = Math.min(2 * wait, 600e3)) {
    scans.value = await within(90e3, tell(worker, 'fill'), false);
    if (!scans.value) await within(wait, shownAgain());
  }
}

const shown = () => document.visibilityState === 'visible';

// placed registers the worker. Chromium says when it refuses for want of trust; of
// a browser that does not, that is believed where it fails again while the page
// itself gets the script: a hub out of reach tells nothing. It is tried anew
// whenever the app is shown, for the person was in the settings meanwhile, or came
// near the hub.
async function placed() {
  for (let before = false; ; before = true) {
    try {
      const reg = await workers.register('/sw.js', { updateViaCache: 'none' });
      trusted.value = true;
      return reg;
    } catch (err) {
      if (
        err.name === 'SecurityError' ||
        (before &&
          secure &&
          (await within(
            4000,
            fetch('/sw.js', { cache: 'no-store' }).then(
              (a) => a.ok,
              () => false,
            ),
            false,
          )))
      )
        trusted.value = false;
    }
    if (before) await shownAgain();
    else await within(2000, new Promise(() => {}));
  }
}

const shownAgain = () =>
  new Promise((done) => {
    const look = () => {
      if (!shown()) return;
      document.removeEventListener('visibilitychange', look);
      done();
    };
    document.addEventListener('visibilitychange', look);
  });

// take lets a waiting worker take over and loads the page again. Chromium may
// forget to let the running worker go while it is idle, for ten seconds and more
// (seen in 156), until the browser itself asks it for a file: the script of a
// worker is one.
function take(waiting) {
  update.value = null;
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

function sayOnce() {
  try {
    if (localStorage.getItem('coldbatch.offline')) return;
    localStorage.setItem('coldbatch.offline', 'said');
    say('Ready to work offline');
  } catch {
    /* nothing is kept here, and nothing to be said */
  }
}
