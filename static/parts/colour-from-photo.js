// Reads a colour from a photo: a tap on the white card, a tap on the cloth, and the core does
// the sum.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { callExtraWithBytes } from '../core/extra.js';
import { decodeImage, drawImage } from '../device/image.js';
import { record } from '../journal/journal.js';
import { loadStoredPhoto } from '../sync/photos.js';
import { useAction } from './data-hooks.js';
import { ErrorBox, Notes } from './messages.js';
import { Stepper } from './stepper.js';
import { Cloth } from './swatch.js';

const maxSide = 480; // px of the picture that is read

/** labWords writes a reading: "L* 46, a* 38, b* 34, ± 5". */
const labWords = ({ lab, error }) => `L*\u00a0${lab[0]}, a*\u00a0${lab[1]}, b*\u00a0${lab[2]}, ±\u00a0${error}`;

/** loadPixels returns the picture as the core reads it, with an address to show it by. */
async function loadPixels(load) {
  const blob = await load();
  const picture = await decodeImage(blob);
  const canvas = drawImage(picture, Math.min(1, maxSide / Math.max(picture.naturalWidth, picture.naturalHeight)));
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
  return { width: canvas.width, height: canvas.height, data, url: URL.createObjectURL(blob) };
}

/** readSpots asks the core for the colour of the cloth at one spot against the white card at the other. */
async function readSpots({ width, height, data }, card, cloth) {
  const args = { width, height, card, cloth };
  return (await callExtraWithBytes('photo.readColour', args, new Uint8Array(data.buffer))).value;
}

/**
 * PhotoColour asks for the card, then for the cloth; a third tap begins again. load returns the photo; onRead gets what
 * was read, or null when it begins again.
 */
export function PhotoColour({ load, onRead }) {
  const [picture, setPicture] = useState(/** @type {any} */ (null));
  const [spots, setSpots] = useState(/** @type {{x: number, y: number}[]} */ ([]));
  const [read, setRead] = useState(/** @type {any} */ (null));
  const [run, fault] = useAction();
  useEffect(() => {
    run(async () => setPicture(await loadPixels(load)));
  }, []);
  const url = picture?.url;
  const release = () => {
    if (url) URL.revokeObjectURL(url);
  };
  useEffect(() => release, [url]);
  const finish = (value) => {
    setRead(value);
    onRead(value);
  };
  const tap = (e) => {
    const box = e.currentTarget.getBoundingClientRect();
    const spot = { x: (e.clientX - box.left) / box.width, y: (e.clientY - box.top) / box.height };
    const next = spots.length === 1 ? [spots[0], spot] : [spot];
    setSpots(next);
    finish(null);
    if (next.length === 2) run(async () => finish(await readSpots(picture, next[0], next[1])));
  };
  const prompt = ['Tap the white card', 'Now tap the cloth', 'Tap again to start over'][spots.length];
  return html`<div>
    <p class="lead" aria-live="polite">${prompt}</p>
    ${
      picture &&
      html`<button type="button" class="photo-spots" aria-label=${prompt} onClick=${tap}>
        <img src=${picture.url} alt="" />
        ${spots.map((s, i) => html`<i key=${i} style=${{ left: `${s.x * 100}%`, top: `${s.y * 100}%` }}>${i + 1}</i>`)}
      </button>`
    }
    <${ErrorBox} fault=${fault} />
    ${
      read &&
      html`<div class="swatch-and-name"><span class="swatch"><${Cloth} rgb=${read.rgb} /></span>
          <p><b>${capitalize(read.word)}</b>, ${labWords(read)}</p></div>
        <${Notes} list=${read.notes} />`
    }
  </div>`;
}

/** ColourFromPhoto reads the colour of a bag's piece and records it. */
export function ColourFromPhoto({ batch, bag, hash, number, done }) {
  const [read, setRead] = useState(/** @type {any} */ (null));
  const [washes, setWashes] = useState('0');
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const body = { lab: read.lab, error: read.error, sha256: hash, washes: Number(washes) || 0 };
      await record([{ scope: `batch/${batch}`, subject: bag, kind: Kind.colourRead, body }], {
        undo: `Bag ${number}: colour saved`,
      });
      done();
    });
  return html`<div>
    <${PhotoColour} load=${() => loadStoredPhoto(hash)} onRead=${setRead} />
    <${ErrorBox} fault=${fault} />
    ${
      read &&
      html`<${Stepper} label="Washes so far" value=${washes} onChange=${setWashes} max=${1000} />
        <button type="button" class="button wide" disabled=${busy} onClick=${save}>Save colour</button>`
    }
  </div>`;
}
