// Whether the entries on this phone are safe: a browser may delete a page's storage, and the
// storage may run full.
import { effect, signal } from '@preact/signals';
import { exampleMode } from './example-mode.js';
import { isInstalled, deviceKind } from './origin.js';

// storageState: isPersistent says whether the browser promised to keep the storage, null if it does
// not say; isAlmostFull that it is almost full; isFull that something could not be written because
// it was full.
export const storageState = signal({ isPersistent: null, isAlmostFull: false, isFull: false });

const almostFullShare = 0.9; // of what the browser allows
const longOfflineTime = 24 * 3600e3; // ms without the hub after which unsent entries need a warning

// watchStorage checks the storage now, whenever facts are recorded, and when the app is shown. A
// change of the journal means that a write succeeded.
export function watchStorage({ journalChanged, factsRecorded }) {
  effect(() => {
    factsRecorded.value;
    readStorage();
  });
  effect(() => {
    journalChanged.value;
    updateStorage({ isFull: false });
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') readStorage();
  });
}

async function readStorage() {
  const storage = navigator.storage;
  try {
    const { usage = 0, quota = Infinity } = await storage.estimate();
    updateStorage({ isPersistent: await storage.persisted(), isAlmostFull: usage > quota * almostFullShare });
  } catch {
    updateStorage({ isPersistent: null }); // a browser that does not say
  }
}

function updateStorage(changes) {
  const next = { ...storageState.peek(), ...changes };
  if (Object.keys(next).some((k) => next[k] !== storageState.peek()[k])) storageState.value = next;
}

// noteStorageError remembers if an error says that the storage is full.
export function noteStorageError(err) {
  if (err.code === 'full') updateStorage({ isFull: true });
}

// requestPersistence asks the browser to keep the storage, and returns whether it will.
export async function requestPersistence() {
  const isPersistent = Boolean(await navigator.storage?.persist?.());
  updateStorage({ isPersistent });
  return isPersistent;
}

// dataLossRisk says why entries of this phone may be lost: "full", "almost-full", "safari-page" (an
// iPhone deletes the storage of a page that is not used for seven days), "long-offline" (entries
// stay unsent for long in a browser that promised nothing), or "".
export function dataLossRisk({ isPersistent, isAlmostFull, isFull }, { unsentCount, reachedAt, isReached }) {
  if (exampleMode) return '';
  if (isFull) return 'full';
  if (isAlmostFull) return 'almost-full';
  if (!unsentCount) return '';
  if (deviceKind === 'iphone' && !isInstalled) return 'safari-page';
  return isPersistent === false && !isReached && Date.now() - reachedAt > longOfflineTime ? 'long-offline' : '';
}
