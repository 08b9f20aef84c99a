// Whether what is on this phone is safe there: a browser may throw the storage of
// a page away, and there is an end to it.
import { effect, signal } from '@preact/signals';
import { inExample } from './example-mode.js';
import { byIcon, kind } from './origin.js';

// room is {kept, tight, full}: kept says that the browser promised to keep the
// storage, null that it does not say; tight that it is nearly full; full that
// something could not be written for want of room.
export const room = signal({ kept: null, tight: false, full: false });

const nearly = 0.9; // of what the browser allows
const long = 24 * 3600e3; // ms without the hub after which waiting entries are worth a word

// watchRoom looks now, when the signal wrote says that something was written, and when
// the app is shown. changed says that a write went well.
export function watchRoom({ changed, wrote }) {
  effect(() => {
    wrote.value;
    look();
  });
  effect(() => {
    changed.value;
    set({ full: false });
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') look();
  });
}

async function look() {
  const storage = navigator.storage;
  try {
    const { usage, quota } = await storage.estimate();
    set({ kept: await storage.persisted(), tight: usage > quota * nearly });
  } catch {
    set({ kept: null }); // a browser that does not say
  }
}

function set(some) {
  const next = { ...room.peek(), ...some };
  if (Object.keys(next).some((k) => next[k] !== room.peek()[k])) room.value = next;
}

// noticed remembers an error that says the room is used up.
export function noticed(err) {
  if (err.code === 'full') set({ full: true });
}

// askToKeep asks the browser to keep the storage, and gives whether it will.
export async function askToKeep() {
  const kept = Boolean(await navigator.storage?.persist?.());
  set({ kept });
  return kept;
}

// riskOf says by what entries of this phone may be lost: "full", "tight", "tab" (an
// iPhone drops the storage of a page that is not used for seven days), "long" (they
// wait for long, in a browser that promised nothing), or "".
export function riskOf({ kept, tight, full }, { waiting, reached, ok }) {
  if (inExample) return '';
  if (full) return 'full';
  if (tight) return 'tight';
  if (!waiting) return '';
  if (kind === 'iphone' && !byIcon) return 'tab';
  return kept === false && !ok && Date.now() - reached > long ? 'long' : '';
}
