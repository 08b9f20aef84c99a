// Finds codes in the camera's video, a few times a second, or in a photo.
import { readCodes } from './qr-reader.js';
import { drawImage, decodeImage } from '../device/image.js';

const minInterval = 130; // ms from one read to the next, at least
const unseenTime = 2500; // ms that a code must be out of view before it counts as new
const squareSide = 1080; // px, at most, of the square that is read

// scanVideo calls onCode(text) for each code that comes into view, one at a time, until the
// function that it returns is called. After each read it calls onFault, with null or with
// the fault that made the read fail.
export function scanVideo(video, onCode, onFault) {
  const lastSeen = new Map(); // text → when it was seen last
  let isStopped = false;
  let timer = 0;
  const scanOnce = async () => {
    const startTime = performance.now();
    let delay = minInterval;
    try {
      const texts = video.videoWidth ? await readCodes(drawMiddle(video), 'live') : [];
      for (const text of texts) {
        if (isStopped) return;
        const previous = lastSeen.get(text) ?? -Infinity;
        lastSeen.set(text, performance.now());
        if (startTime - previous <= unseenTime) continue;
        await onCode(text);
        lastSeen.set(text, performance.now()); // it was in view meanwhile
      }
      onFault(null);
    } catch (err) {
      onFault(err);
      delay = 3000;
    }
    if (!isStopped) timer = setTimeout(scanOnce, Math.max(delay - (performance.now() - startTime), 30));
  };
  scanOnce();
  return () => {
    isStopped = true;
    clearTimeout(timer);
  };
}

// drawMiddle draws the square in the middle of a video, which is what the screen shows.
const square = document.createElement('canvas');
const context = /** @type {CanvasRenderingContext2D} */ (square.getContext('2d', { willReadFrequently: true }));
function drawMiddle(video) {
  const [w, h] = [video.videoWidth, video.videoHeight];
  const side = Math.min(w, h);
  square.width = square.height = Math.min(side, squareSide);
  context.drawImage(video, (w - side) / 2, (h - side) / 2, side, side, 0, 0, square.width, square.height);
  return square;
}

// scanPhoto returns the texts of the codes in a photo, or throws a Fault if the file is no
// readable picture. It tries several sizes, because a code that is too fine or too coarse
// at one size may be readable at another.
export async function scanPhoto(file) {
  const picture = await decodeImage(file);
  for (const maxSide of [2400, 1200, 600]) {
    const scale = Math.min(1, maxSide / Math.max(picture.naturalWidth, picture.naturalHeight));
    const texts = await readCodes(drawImage(picture, scale), 'photo');
    if (texts.length) return texts;
  }
  return [];
}
