// Brings the phone's journal and the hub's together, whenever the app is shown
// and the hub is there. One call pushes and pulls and may be repeated at will.
// Whether the hub is there is never assumed: it is asked.
import { effect } from '@preact/signals';
import { asFault } from '../core/fault.js';
import { journalChanged, factsRecorded } from '../journal/changes.js';
import { exampleMode } from '../device/example-mode.js';
import { meta } from '../journal/db.js';
import { isMember, loadHubState, runSyncRound } from './sync-round.js';
import { listenToHub } from './hub-events.js';
import { hub } from './hub-state.js';
import { noteStorageError } from '../device/storage.js';

const syncInterval = 60e3; // ms between rounds while the app is shown
const maxRetryDelay = 20e3; // ms until the next try after one that failed: someone at the hub waits for it
const recordDelay = 300; // ms after something was recorded

let timer = 0;
let dueAt = Infinity; // when it goes off, by performance.now()
let failures = 0;
/** @type {Promise<boolean> | null} */
let runningRound = null;
/** @type {{stop: () => void} | null} */
let stream = null;

const isVisible = () => document.visibilityState === 'visible';

// startSync begins, and goes on for as long as the app is open.
export async function startSync() {
  await showHubState();
  document.addEventListener('visibilitychange', () => (isVisible() ? requestSync() : pauseSync()));
  addEventListener('pageshow', () => requestSync());
  addEventListener('online', () => requestSync());
  effect(() => {
    factsRecorded.value;
    requestSync(recordDelay);
  });
  effect(() => {
    journalChanged.value;
    showHubState();
  });
  requestSync();
}

// showHubState shows what this phone knows of its hub. A storage that does not answer
// is asked again in the next round, so that the app begins to exchange all the same.
async function showHubState() {
  try {
    const known = await loadHubState(); // first: an effect that calls this must not depend on hub
    hub.value = { ...hub.value, ...known };
  } catch (err) {
    reportFailure(err);
  }
}

// requestSync exchanges now, or in so many ms, or earlier where that was asked for and the
// phone did not sleep over it.
export function requestSync(after = 0) {
  const at = performance.now() + after;
  if (!isVisible() || (at > dueAt && dueAt > performance.now())) return;
  clearTimeout(timer);
  dueAt = at;
  timer = setTimeout(() => {
    dueAt = Infinity;
    syncNow();
  }, after);
}

// dismissOtherHub takes away the word that another hub answers than before.
export async function dismissOtherHub() {
  await meta.set({ other: '' });
  hub.value = { ...hub.value, other: '' };
}

function pauseSync() {
  clearTimeout(timer);
  dueAt = Infinity;
  stream?.stop();
  stream = null;
}

async function syncNow() {
  if (runningRound) {
    await runningRound;
    return requestSync(recordDelay);
  }
  runningRound = tryRound();
  const ok = await runningRound;
  runningRound = null;
  failures = ok ? 0 : failures + 1;
  const pause = ok ? syncInterval : Math.min(maxRetryDelay, 1000 * 2 ** failures);
  requestSync(pause * (0.75 + Math.random() / 2));
  if (!ok || exampleMode || !isVisible() || !isMember(hub.value.role)) return;
  stream ??= listenToHub(
    () => requestSync(recordDelay),
    () => {
      stream = null;
      requestSync(recordDelay);
    },
  );
}

// reportFailure keeps why an exchange failed, for the Phone screen; of a hub out of reach
// the status says enough.
function reportFailure(err) {
  noteStorageError(err);
  hub.value = { ...hub.value, fault: err.code === 'unavailable' ? null : asFault(err) };
}

// tryRound runs one round and says how it went.
async function tryRound() {
  try {
    const known = await runSyncRound();
    hub.value = { ...hub.value, ...known, ok: true, fault: null };
    return true;
  } catch (err) {
    reportFailure(err);
    const known = await loadHubState().catch(() => ({}));
    hub.value = { ...hub.value, ...known, ok: false };
    return false;
  }
}
