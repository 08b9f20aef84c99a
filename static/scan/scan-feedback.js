// What a scan feels and sounds like: eyes may be on the bag and not on the screen.
/** @type {AudioContext | null} */
let sound = null;

// unlockSound makes ready to beep; a browser allows that in a tap alone.
export function unlockSound() {
  sound ??= globalThis.AudioContext && new AudioContext();
  sound?.resume().catch(() => undefined); // then it vibrates only
}

// signalScan vibrates and beeps, as far as the phone lets it.
export function signalScan() {
  if (navigator.userActivation?.hasBeenActive !== false) navigator.vibrate?.(70); // before that a browser complains
  if (sound?.state !== 'running') return;
  const [tone, level, at] = [sound.createOscillator(), sound.createGain(), sound.currentTime];
  tone.frequency.value = 1320; // Hz
  level.gain.setValueAtTime(0.18, at);
  level.gain.exponentialRampToValueAtTime(0.001, at + 0.12);
  tone.connect(level).connect(sound.destination);
  tone.start(at);
  tone.stop(at + 0.13);
}
