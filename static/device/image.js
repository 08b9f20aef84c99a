// Shrinks a photo so that it is small enough to store and send. Drawing it on a canvas also removes
// the camera's metadata: place, time, device.
import { Fault } from '../core/fault.js';

const maxSide = 1600; // px, of the longer side
const maxBytes = 400e3; // bytes, or about
const qualities = [0.85, 0.75, 0.6, 0.45];

// shrinkPhoto returns a picture file as a JPEG of at most 1600 pixels a side and about 400 kB, or
// throws a Fault if the browser cannot read it.
export async function shrinkPhoto(file) {
  const picture = await decodeImage(file);
  /** @type {Blob | null} */
  let blob = null;
  for (let scale = Math.min(1, maxSide / Math.max(picture.naturalWidth, picture.naturalHeight)); ; scale *= 0.8) {
    const canvas = drawImage(picture, scale);
    for (const quality of qualities) {
      blob = await new Promise((/** @type {(blob: Blob | null) => void} */ done) =>
        canvas.toBlob(done, 'image/jpeg', quality),
      );
      if (blob?.type !== 'image/jpeg') throw unreadableFault();
      if (blob.size <= maxBytes) return blob;
    }
    if (Math.max(canvas.width, canvas.height) < 800) return blob; // enough was tried
  }
}

// decodeImage returns the picture in a file, or throws a Fault.
export async function decodeImage(file) {
  const picture = new Image();
  picture.src = URL.createObjectURL(file);
  try {
    await picture.decode();
    return picture;
  } catch {
    throw unreadableFault();
  } finally {
    URL.revokeObjectURL(picture.src);
  }
}

// drawImage draws the picture upright, with white behind transparent parts.
export function drawImage(picture, scale) {
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(picture.naturalWidth * scale));
  canvas.height = Math.max(1, Math.round(picture.naturalHeight * scale));
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  context.fillStyle = '#fff';
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas;
}

const unreadableFault = () =>
  new Fault({
    code: 'input',
    sentence: 'this picture cannot be read',
    hint: 'use a photo from the camera, or a JPEG or PNG file',
  });
