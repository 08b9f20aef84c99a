// Brings the phone's journal and the hub's together, whenever the app is shown
// and the hub is there. One call pushes and pulls and may be repeated at will.
// Whether the hub is there is never assumed: it is asked.
import { effect } from '@preact/signals';
import { changed, wrote } from '../journal/changes.js';
import { inExample } from '../device/example-mode.js';
import { meta } from '../journal/db.js';
import { isIn, knownHub, round } from './sync-round.js';
import { listen } from './hub-events.js';
import { hub } from './hub-state.js';
import { noticed } from '../device/storage.js';

const every = 60e3; // ms between rounds while the app is shown
const soon = 300; // ms after something was recorded

let timer = 0;
let due = Infinity; // when it goes off, by performance.now()
let failures = 0;
let running = null;
let stream = null;

const shown = () => document.visibilityState === 'visible';

// start begins, and goes on for as long as the app is open.
export async function start() {
  hub.value = { ...hub.value, ...(await knownHub()) };
  document.addEventListener('visibilitychange', () => (shown() ? kick() : rest()));
  addEventListener('pageshow', () => kick());
  addEventListener('online', () => kick());
  effect(() => {
    wrote.value;
    kick(soon);
  });
  effect(() => {
    changed.value;
    knownHub()
      .then((known) => {
        hub.value = { ...hub.value, ...known };
      })
      .catch(console.error);
  });
  kick();
}

// kick exchanges now, or in so many ms, or earlier where that was asked for and the
// phone did not sleep over it.
export function kick(after = 0) {
  const at = performance.now() + after;
  if (!shown() || (at > due && due > performance.now())) return;
  clearTimeout(timer);
  due = at;
  timer = setTimeout(() => {
    due = Infinity;
    exchange();
  }, after);
}

// understood takes away the word that another hub answers than before.
export async function understood() {
  await meta.set({ other: '' });
  hub.value = { ...hub.value, other: '' };
}

function rest() {
  clearTimeout(timer);
  due = Infinity;
  stream?.stop();
  stream = null;
}

async function exchange() {
  if (running) {
    await running;
    return kick(soon);
  }
  running = attempt();
  const ok = await running;
  running = null;
  failures = ok ? 0 : failures + 1;
  const pause = ok ? every : Math.min(every, 1000 * 2 ** failures);
  kick(pause * (0.75 + Math.random() / 2));
  if (!ok || inExample || !shown() || !isIn(hub.value.role)) return;
  stream ??= listen(
    () => kick(soon),
    () => {
      stream = null;
      kick(soon);
    },
  );
}

// attempt runs one round and says how it went.
async function attempt() {
  try {
    hub.value = { ...hub.value, ...(await round()), ok: true };
    return true;
  } catch (err) {
    noticed(err);
    if (err.code !== 'unavailable') console.error('exchange:', err);
    hub.value = { ...hub.value, ...(await knownHub().catch(() => ({}))), ok: false };
    return false;
  }
}
