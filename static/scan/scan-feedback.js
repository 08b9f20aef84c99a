// Vibrates and beeps after a scan, since the person may look at the bag and not at the screen.
/** @type {AudioContext | null} */
let audioContext = null;

// unlockSound prepares the sound; a browser allows that only in response to a tap.
export function unlockSound() {
  audioContext ??= globalThis.AudioContext && new AudioContext();
  audioContext?.resume().catch(() => undefined); // then it vibrates only
}

// signalScan vibrates and beeps, as far as the phone allows it.
export function signalScan() {
  if (navigator.userActivation?.hasBeenActive !== false) navigator.vibrate?.(70); // before that a browser complains
  if (audioContext?.state !== 'running') return;
  const [oscillator, gainNode, at] = [
    audioContext.createOscillator(),
    audioContext.createGain(),
    audioContext.currentTime,
  ];
  oscillator.frequency.value = 1320; // Hz
  gainNode.gain.setValueAtTime(0.18, at);
  gainNode.gain.exponentialRampToValueAtTime(0.001, at + 0.12);
  oscillator.connect(gainNode).connect(audioContext.destination);
  oscillator.start(at);
  oscillator.stop(at + 0.13);
}
