// Keeps the screen on while hands are wet: on screens where something is weighed
// or dyed.
import { useEffect } from 'preact/hooks';

// awake keeps the screen on until the function it gives is called. The browser
// lets go when the app is hidden; it is asked again when it is back.
export function awake() {
  let lock = null;
  let over = false;
  const hold = async () => {
    if (over || document.visibilityState !== 'visible' || !navigator.wakeLock) return;
    try {
      lock = await navigator.wakeLock.request('screen');
      if (over) lock.release();
    } catch {
      /* the battery is low: the phone's own rule goes first */
    }
  };
  document.addEventListener('visibilitychange', hold);
  hold();
  return () => {
    over = true;
    document.removeEventListener('visibilitychange', hold);
    lock?.release();
  };
}

// useAwake does so for as long as a screen is shown.
export const useAwake = () => useEffect(awake, []);
