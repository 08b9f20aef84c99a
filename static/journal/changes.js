// What tells the screens that something is another: the journal, or the time.
import { signal } from '@preact/signals';

export const changed = signal(0); // counts on when facts came, from here or elsewhere
export const wrote = signal(0); // counts on when this phone recorded something
export const tick = signal(0); // counts on every half minute, and when the app is shown again

const others = 'BroadcastChannel' in self ? new BroadcastChannel('coldbatch') : null;
if (others)
  others.onmessage = () => {
    changed.value++;
  };

// bump says that facts came, here and in the app's other windows.
export function bump() {
  changed.value++;
  others?.postMessage('changed');
}

// Timers sleep with the phone: times are worked out anew from the clock whenever
// the app is shown.
let timer = 0;
function wake() {
  clearInterval(timer);
  if (document.visibilityState !== 'visible') return;
  tick.value++;
  timer = setInterval(() => {
    tick.value++;
  }, 30e3);
}
document.addEventListener('visibilitychange', wake);
addEventListener('pageshow', wake);
