// The screen stays on where wet hands would have to wake it.
import {useEffect} from 'preact/hooks';

/** useAwake holds the screen awake while the screen that uses it is open. */
export function useAwake() {
  useEffect(() => {
    let lock, open = true;
    const hold = async () => {
      if (document.visibilityState !== 'visible' || !navigator.wakeLock) return;
      try {
        const got = await navigator.wakeLock.request('screen');
        if (open) lock = got; else got.release();
      } catch { /* refused, with a low battery for one: the phone's own time holds */ }
    };
    hold();
    document.addEventListener('visibilitychange', hold);
    return () => { open = false; document.removeEventListener('visibilitychange', hold); lock?.release(); };
  }, []);
}
