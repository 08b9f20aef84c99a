// The signals that tell the screens to update: the journal changed, or time passed.
import { signal } from '@preact/signals';

export const journalChanged = signal(0); // increases when facts were added, here or elsewhere
export const factsRecorded = signal(0); // increases when this phone recorded something
export const clockTick = signal(0); // increases every half minute, and when the app is shown again

const otherWindows = 'BroadcastChannel' in self ? new BroadcastChannel('coldbatch') : null;
if (otherWindows)
  otherWindows.onmessage = () => {
    journalChanged.value++;
  };

// announceChange announces new facts, here and in the app's other windows.
export function announceChange() {
  journalChanged.value++;
  otherWindows?.postMessage('changed');
}

// Timers stop while the phone sleeps, so times are worked out from the clock again whenever the app
// is shown.
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
