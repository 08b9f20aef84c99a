// Keeps the screen on while hands are wet: on screens where something is weighed
// or dyed.
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
