// Reads the codes in a picture, first with the browser's own detector. If there is none, or it
// finds nothing, the app's reader tries in a worker.
import { Fault } from '../core/fault.js';

const readTimeout = 30e3; // ms for one picture, the first of which waits for the reader to load

/** @type {Worker | null} */
let worker = null;
let nextId = 1;
const openReads = new Map(); // id → {resolve, reject, timer}

// readCodes returns the texts of the codes in a canvas, the one nearest the middle first.
// how is "live" or "photo". It throws a Fault if the reader is not installed yet.
export async function readCodes(canvas, how) {
  const found = await readWithBrowser(canvas);
  const all = found.length
    ? found
    : await readWithWorker(canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height), how);
  const distance = ({ x, y }) => Math.hypot(x - canvas.width / 2, y - canvas.height / 2);
  return [...new Set(all.sort((a, b) => distance(a) - distance(b)).map((f) => f.text))].filter(Boolean);
}

// preloadReader loads the reader, so that the first picture need not wait for it. If that
// fails, reading the first picture says why.
export const preloadReader = () => readWithWorker(new ImageData(8, 8), 'live').catch(() => undefined);

let detector;
async function readWithBrowser(canvas) {
  try {
    detector ??= (await /** @type {any} */ (globalThis).BarcodeDetector?.getSupportedFormats())?.includes('qr_code')
      ? new /** @type {any} */ (globalThis).BarcodeDetector({ formats: ['qr_code'] })
      : null;
    const found = (await detector?.detect(canvas)) || [];
    return found.map((f) => ({
      text: f.rawValue,
      x: f.boundingBox.x + f.boundingBox.width / 2,
      y: f.boundingBox.y + f.boundingBox.height / 2,
    }));
  } catch {
    detector = null; // the browser has the class but no detector
    return [];
  }
}

function readWithWorker(picture, how) {
  return new Promise((resolve, reject) => {
    const reader = (worker ??= startWorker());
    const id = nextId++;
    openReads.set(id, { resolve, reject, timer: setTimeout(() => discardWorker('it hangs'), readTimeout) });
    reader.postMessage({ id, picture, how }, [picture.data.buffer]);
  });
}

function startWorker() {
  const newWorker = new Worker('/scan/scan-worker.js');
  newWorker.onmessage = ({ data: { id, found, error } }) => {
    if (worker !== newWorker) return;
    if (error) return discardWorker(error);
    clearTimeout(openReads.get(id).timer);
    openReads.get(id).resolve(found);
    openReads.delete(id);
  };
  newWorker.onerror = (e) => {
    e.preventDefault();
    if (worker === newWorker) discardWorker(e.message || 'its file did not load');
  };
  return newWorker;
}

// discardWorker ends a worker that failed. The next picture starts another one, because the
// hub may only have been out of reach.
function discardWorker(why) {
  console.info('reader of codes:', why);
  worker?.terminate();
  worker = null;
  for (const { reject, timer } of openReads.values()) {
    clearTimeout(timer);
    reject(
      new Fault({
        code: 'unavailable',
        sentence: 'the code reader is not on this phone yet',
        hint: 'open the app near the hub once; until then type the number on the tag',
      }),
    );
  }
  openReads.clear();
}
