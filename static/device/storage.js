// Whether what is on this phone is safe there: a browser may throw the storage of
// a page away, and there is an end to it.
import { effect, signal } from '@preact/signals';
import { exampleMode } from './example-mode.js';
import { isInstalled, deviceKind } from './origin.js';

// storageState is {kept, tight, full}: kept says that the browser promised to keep the
// storage, null that it does not say; tight that it is nearly full; full that
// something could not be written for want of room.
export const storageState = signal({ kept: null, tight: false, full: false });

const nearlyFullShare = 0.9; // of what the browser allows
const longWait = 24 * 3600e3; // ms without the hub after which waiting entries are worth a word

// watchStorage looks now, when the signal wrote says that something was written, and when
// the app is shown. changed says that a write went well.
export function watchStorage({ changed, wrote }) {
  effect(() => {
    wrote.value;
    readStorage();
  });
  effect(() => {
    changed.value;
    updateStorage({ full: false });
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') readStorage();
  });
}

async function readStorage() {
  const storage = navigator.storage;
  try {
    const { usage = 0, quota = Infinity } = await storage.estimate();
    updateStorage({ kept: await storage.persisted(), tight: usage > quota * nearlyFullShare });
  } catch {
    updateStorage({ kept: null }); // a browser that does not say
  }
}

function updateStorage(some) {
  const next = { ...storageState.peek(), ...some };
  if (Object.keys(next).some((k) => next[k] !== storageState.peek()[k])) storageState.value = next;
}

// noteStorageError remembers an error that says the room is used up.
export function noteStorageError(err) {
  if (err.code === 'full') updateStorage({ full: true });
}

// requestPersistence asks the browser to keep the storage, and gives whether it will.
export async function requestPersistence() {
  const kept = Boolean(await navigator.storage?.persist?.());
  updateStorage({ kept });
  return kept;
}

// dataLossRisk says by what entries of this phone may be lost: "full", "tight", "tab" (an
// iPhone drops the storage of a page that is not used for seven days), "long" (they
// wait for long, in a browser that promised nothing), or "".
export function dataLossRisk({ kept, tight, full }, { waiting, reached, ok }) {
  if (exampleMode) return '';
  if (full) return 'full';
  if (tight) return 'tight';
  if (!waiting) return '';
  if (deviceKind === 'iphone' && !isInstalled) return 'tab';
  return kept === false && !ok && Date.now() - reached > longWait ? 'long' : '';
}
