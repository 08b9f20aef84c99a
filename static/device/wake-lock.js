// Keeps the screen on while hands are wet: on screens where something is weighed
// or dyed.
import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';

// keepScreenOn keeps the screen on until the function it gives is called. The browser
// lets go when the app is hidden; it is asked again when it is back.
export function keepScreenOn() {
  /** @type {WakeLockSentinel | null} */
  let lock = null;
  let isReleased = false;
  const requestLock = async () => {
    if (isReleased || document.visibilityState !== 'visible' || !navigator.wakeLock) return;
    try {
      lock = await navigator.wakeLock.request('screen');
      if (isReleased) lock.release();
    } catch {
      lock = null; // the battery is low: the phone’s own rule goes first
    }
  };
  document.addEventListener('visibilitychange', requestLock);
  requestLock();
  return () => {
    isReleased = true;
    document.removeEventListener('visibilitychange', requestLock);
    lock?.release();
  };
}

// useScreenOn does so for as long as a screen is shown.
export const useScreenOn = () => useEffect(keepScreenOn, []);

// isScreenKept says whether a person asked to keep the screen on, on every screen, until the
// app is closed.
export const isScreenKept = signal(false);

/** @type {(() => void) | null} */
let letGo = null;

export function setScreenKept(on) {
  isScreenKept.value = on;
  if (on) letGo ??= keepScreenOn();
  else {
    letGo?.();
    letGo = null;
  }
}
