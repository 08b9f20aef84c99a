// The phone's camera. The app asks for it once per visit to the scanner, the screens that
// scan share it, and it is released when they are left or the app is hidden. Once the
// person has refused it, the app does not ask again.
import { signal } from '@preact/signals';
import { errorName, Fault } from '../core/fault.js';

// camera is {stream, isTorchOn}: a MediaStream or null, and whether its torch is on, or null
// if it has no torch that the app can switch.
export const camera = signal(
  /** @type {{stream: MediaStream | null, isTorchOn: boolean | null}} */ ({ stream: null, isTorchOn: null }),
);

/** @type {Fault | null} */
let refusedFault = null; // set once the person has refused the camera
/** @type {Promise<void> | null} */
let openPromise = null;
let releaseTimer = 0;

// startCamera opens the camera; call it on a tap. It throws a Fault if no camera can be
// opened.
export function startCamera() {
  keepCamera();
  if (camera.value.stream) return Promise.resolve();
  if (refusedFault) return Promise.reject(refusedFault);
  return (openPromise ??= openCamera().finally(() => {
    openPromise = null;
  }));
}

async function openCamera() {
  let stream;
  try {
    if (!navigator.mediaDevices?.getUserMedia) throw new DOMException('', 'NotFoundError');
    stream = await navigator.mediaDevices.getUserMedia({
      video: { facingMode: 'environment', width: { ideal: 1920 }, height: { ideal: 1080 } },
      audio: false,
    });
  } catch (err) {
    throw cameraFault(err);
  }
  if (document.visibilityState !== 'visible') return stopTracks(stream); // hidden while the person was asked
  const [track] = stream.getVideoTracks();
  track.addEventListener('ended', () => {
    if (camera.value.stream === stream) stopCamera();
  });
  camera.value = {
    stream,
    isTorchOn: /** @type {{torch?: boolean}} */ (track.getCapabilities?.() || {}).torch ? false : null,
  };
}

function cameraFault(err) {
  const fault = (sentence, hint) => new Fault({ code: 'unavailable', sentence, hint });
  switch (errorName(err)) {
    case 'NotAllowedError':
    case 'SecurityError':
      return (refusedFault = fault(
        'the camera is not allowed for this app',
        'type the number or take a photo. To allow it: the browser’s settings for this page, then open the app again',
      ));
    case 'NotReadableError':
    case 'AbortError':
      return fault('the camera does not start', 'another app may be using it: close that app, or take a photo');
  }
  return fault('no camera was found', 'type the number that is underlined on the tag, or take a photo');
}

// stopCamera releases the camera.
export function stopCamera() {
  stopTracks(camera.value.stream);
  camera.value = { stream: null, isTorchOn: null };
}

const stopTracks = (stream) => {
  for (const track of stream?.getTracks() || []) track.stop();
};

// releaseCameraSoon releases the camera in a moment, unless the next screen keeps it.
export function releaseCameraSoon() {
  clearTimeout(releaseTimer);
  releaseTimer = setTimeout(stopCamera, 700);
}

// keepCamera keeps the camera that the previous screen was about to release.
export const keepCamera = () => clearTimeout(releaseTimer);

document.addEventListener('visibilitychange', () => {
  if (document.visibilityState !== 'visible') stopCamera();
});

// setTorch switches the torch.
export async function setTorch(on) {
  const { stream } = camera.value;
  try {
    const torch = /** @type {MediaTrackConstraintSet} */ ({ torch: on });
    await stream?.getVideoTracks()[0].applyConstraints({ advanced: [torch] });
    camera.value = { stream, isTorchOn: on };
  } catch {
    camera.value = { stream, isTorchOn: null }; // the camera claimed to have a torch
  }
}
