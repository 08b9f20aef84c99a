// Syncs the phone's journal with the hub's while the app is shown. One call pushes and pulls, and
// may be repeated at will. Whether the hub can be reached is never assumed: the phone just tries.
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
const removedInterval = 20e3; // the same for a removed phone: the owner may be letting it in again
const maxRetryDelay = 20e3; // ms until the next try after a failure, at most: someone at the hub may be waiting for it
const recordDelay = 300; // ms after something was recorded

let timer = 0;
let dueAt = Infinity; // when the timer fires, by performance.now()
let failures = 0;
/** @type {Promise<boolean> | null} */
let runningRound = null;
/** @type {{stop: () => void} | null} */
let eventStream = null;

const isVisible = () => document.visibilityState === 'visible';

// startSync syncs for as long as the app is open.
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

// showHubState loads what this phone knows of its hub. If the storage fails, the next round tries
// again, so that syncing starts all the same.
async function showHubState() {
  try {
    const state = await loadHubState(); // first: an effect that calls this must not depend on hub
    hub.value = { ...hub.value, ...state };
  } catch (err) {
    reportFailure(err);
  }
}

// requestSync syncs after delay ms, unless an earlier sync is due already. A sync that is overdue
// because the phone slept does not count.
export function requestSync(delay = 0) {
  const at = performance.now() + delay;
  if (!isVisible() || (at > dueAt && dueAt > performance.now())) return;
  clearTimeout(timer);
  dueAt = at;
  timer = setTimeout(() => {
    dueAt = Infinity;
    syncNow();
  }, delay);
}

// dismissOtherHub removes the message that a different hub answers.
export async function dismissOtherHub() {
  await meta.set({ other: '' });
  hub.value = { ...hub.value, previousHubId: '' };
}

// acceptUnknownHub puts this phone's journal and that of the hub which answers together.
export async function acceptUnknownHub() {
  const { unknown } = await meta.get('unknown');
  await meta.set({ accepted: unknown, unknown: '' });
  hub.value = { ...hub.value, unknownHubId: '' };
  requestSync();
}

function pauseSync() {
  clearTimeout(timer);
  dueAt = Infinity;
  eventStream?.stop();
  eventStream = null;
}

async function syncNow() {
  if (runningRound) {
    await runningRound;
    return requestSync(recordDelay);
  }
  runningRound = tryRound();
  const succeeded = await runningRound;
  runningRound = null;
  failures = succeeded ? 0 : failures + 1;
  const interval = hub.value.role === 'out' ? removedInterval : syncInterval;
  const delay = succeeded ? interval : Math.min(maxRetryDelay, 1000 * 2 ** failures);
  requestSync(delay * (0.75 + Math.random() / 2));
  if (!succeeded || exampleMode || !isVisible() || !isMember(hub.value.role)) return;
  eventStream ??= listenToHub(
    () => requestSync(recordDelay),
    () => {
      eventStream = null;
      requestSync(recordDelay);
    },
  );
}

// reportFailure stores why a sync failed, for the Phone screen; for a hub out of reach the status
// line says enough.
function reportFailure(err) {
  noteStorageError(err);
  hub.value = { ...hub.value, fault: err.code === 'unavailable' ? null : asFault(err) };
}

// tryRound runs one round and says whether it succeeded.
async function tryRound() {
  try {
    const state = await runSyncRound();
    hub.value = { ...hub.value, ...state, isReached: true, fault: null };
    return true;
  } catch (err) {
    reportFailure(err);
    const state = await loadHubState().catch(() => ({}));
    hub.value = { ...hub.value, ...state, isReached: false };
    return false;
  }
}
