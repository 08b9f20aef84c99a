// Keeps the screen on while hands are wet: on screens where something is weighed
// or dyed.
import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';

// keepScreenOn keeps the screen on until the function that it returns is called. The browser
// releases the lock when the app is hidden, so it is requested again when the app is shown.
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
      lock = null; // the battery is low: the phone decides
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
