// The scanner: looks through the camera a few times a second, or at one photo.
import { readCodes } from './qr-reader.js';
import { drawImage, decodeImage } from '../device/image.js';

const minInterval = 130; // ms from one look to the next, at least
const unseenTime = 2500; // ms that a code must have been out of sight to be seen anew
const squareSide = 1080; // px of the square that is looked at

// scanVideo tells seen(text) of each code that comes before the camera of a video, one
// at a time, until the function it gives is called. trouble is told the fault that
// keeps it from looking, or null when it looks.
export function scanVideo(video, seen, trouble) {
  const last = new Map(); // text → when it was seen last
  let over = false;
  let timer = 0;
  const look = async () => {
    const begin = performance.now();
    let wait = minInterval;
    try {
      const texts = video.videoWidth ? await readCodes(drawMiddle(video), 'live') : [];
      for (const text of texts) {
        if (over) return;
        const before = last.get(text) ?? -Infinity;
        last.set(text, performance.now());
        if (begin - before > unseenTime) await seen(text);
      }
      trouble(null);
    } catch (err) {
      trouble(err);
      wait = 3000;
    }
    if (!over) timer = setTimeout(look, Math.max(wait - (performance.now() - begin), 30));
  };
  look();
  return () => {
    over = true;
    clearTimeout(timer);
  };
}

// drawMiddle draws the square in the middle of a video, which is what the screen shows.
const square = document.createElement('canvas');
const pen = /** @type {CanvasRenderingContext2D} */ (square.getContext('2d', { willReadFrequently: true }));
function drawMiddle(video) {
  const [w, h] = [video.videoWidth, video.videoHeight];
  const all = Math.min(w, h);
  square.width = square.height = Math.min(all, squareSide);
  pen.drawImage(video, (w - all) / 2, (h - all) / 2, all, all, 0, 0, square.width, square.height);
  return square;
}

// scanPhoto gives the texts of the codes in a picture's file, or throws a Fault
// where it cannot be read. What is too fine or too coarse at one size may be read
// at another.
export async function scanPhoto(file) {
  const picture = await decodeImage(file);
  for (const most of [2400, 1200, 600]) {
    const scale = Math.min(1, most / Math.max(picture.naturalWidth, picture.naturalHeight));
    const texts = await readCodes(drawImage(picture, scale), 'photo');
    if (texts.length) return texts;
  }
  return [];
}
