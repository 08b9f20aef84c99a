// Rings: a sound of two notes and a vibration, for as long as ring has not been stopped, at
// most half a minute. A browser plays a sound only after the page was touched once, and an
// iPhone has no vibration.
const longest = 30e3; // ms
const every = 2e3; // ms from one pair of notes to the next
const afterTouch = 1500; // ms

/** @type {AudioContext | null} */
let audio = null;
let timer = 0;
let stopAt = 0;

// allowSound readies the sound once the page was touched; call it when there is something to ring for. A browser may
// take half a second to ready it, so what the touch did is on the screen before.
let isAllowed = false;
export function allowSound() {
  if (isAllowed) return;
  isAllowed = true;
  let isTouched = false;
  const prepare = () => {
    try {
      audio = new AudioContext();
    } catch {
      audio = null; // a browser without sound: it vibrates, and the screen says it
    }
  };
  const ready = () => {
    if (!isTouched) setTimeout(prepare, afterTouch);
    isTouched = true;
    if (audio?.state === 'suspended') audio.resume().catch(() => undefined); // Safari allows it only in a touch
  };
  for (const touch of ['click', 'keydown']) addEventListener(touch, ready, { passive: true });
}

// ring begins, or goes on for another half minute. isSilent leaves the sound out.
export function ring(isSilent = false) {
  stopAt = Date.now() + longest;
  if (timer) return;
  const once = () => {
    if (Date.now() > stopAt) return stopRinging();
    vibrate([300, 120, 300]);
    if (!isSilent) playNotes();
  };
  timer = setInterval(once, every);
  once();
}

export function stopRinging() {
  if (!timer) return;
  clearInterval(timer);
  timer = 0;
  vibrate(0);
}

// vibrate does nothing before the first touch, since a browser would complain.
function vibrate(pattern) {
  if (navigator.userActivation?.hasBeenActive !== false) navigator.vibrate?.(pattern);
}

export const isRinging = () => timer !== 0;

// playNotes plays two notes, the second a fourth higher.
export function playNotes() {
  if (audio?.state !== 'running') return;
  for (const [start, hertz] of [
    [0, 660],
    [0.25, 880],
  ]) {
    const note = audio.createOscillator();
    const volume = audio.createGain();
    const from = audio.currentTime + start;
    note.frequency.value = hertz;
    volume.gain.setValueAtTime(0, from);
    volume.gain.linearRampToValueAtTime(0.5, from + 0.02);
    volume.gain.linearRampToValueAtTime(0, from + 0.22);
    note.connect(volume).connect(audio.destination);
    note.start(from);
    note.stop(from + 0.24);
  }
}
