// What tells the screens that something is another: the journal, or the time.
import { signal } from '@preact/signals';

export const journalChanged = signal(0); // counts on when facts came, from here or elsewhere
export const factsRecorded = signal(0); // counts on when this phone recorded something
export const clockTick = signal(0); // counts on every half minute, and when the app is shown again

const otherWindows = 'BroadcastChannel' in self ? new BroadcastChannel('coldbatch') : null;
if (otherWindows)
  otherWindows.onmessage = () => {
    journalChanged.value++;
  };

// announceChange says that facts came, here and in the app's other windows.
export function announceChange() {
  journalChanged.value++;
  otherWindows?.postMessage('changed');
}

// Timers sleep with the phone: times are worked out anew from the clock whenever
// the app is shown.
let timer = 0;
function restartTick() {
  clearInterval(timer);
  if (document.visibilityState !== 'visible') return;
  clockTick.value++;
  timer = setInterval(() => {
    clockTick.value++;
  }, 30e3);
}
document.addEventListener('visibilitychange', restartTick);
addEventListener('pageshow', restartTick);
