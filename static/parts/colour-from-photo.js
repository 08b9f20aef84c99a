// Reads a colour from a photo: a tap on the white card, a tap on the cloth, and the core does
// the sum.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { callExtraWithBytes } from '../core/extra.js';
import { Fault } from '../core/fault.js';
import { decodeImage, drawImage } from '../device/image.js';
import { record } from '../journal/journal.js';
import { loadPhoto } from '../sync/photos.js';
import { useAction } from './data-hooks.js';
import { ErrorBox, Notes } from './messages.js';
import { Stepper } from './stepper.js';
import { Cloth } from './swatch.js';

const maxSide = 480; // px of the picture that is read

/** labWords writes a reading: "L* 46, a* 38, b* 34, ± 5". */
const labWords = ({ lab, error }) => `L*\u00a0${lab[0]}, a*\u00a0${lab[1]}, b*\u00a0${lab[2]}, ±\u00a0${error}`;

/** loadPixels gives the picture as the core reads it, with an address to show it by. */
async function loadPixels(hash) {
  const blob = await loadPhoto(hash);
  if (!blob) throw new Fault({ code: 'not-found', sentence: 'this photo is on another phone' });
  const picture = await decodeImage(blob);
  const canvas = drawImage(picture, Math.min(1, maxSide / Math.max(picture.naturalWidth, picture.naturalHeight)));
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  const { data } = pen.getImageData(0, 0, canvas.width, canvas.height);
  return { width: canvas.width, height: canvas.height, data, url: URL.createObjectURL(blob) };
}

/** ColourFromPhoto asks for the card, then for the cloth; a third tap begins again. */
export function ColourFromPhoto({ batch, bag, hash, number, done }) {
  const [picture, setPicture] = useState(/** @type {any} */ (null));
  const [spots, setSpots] = useState(/** @type {{x: number, y: number}[]} */ ([]));
  const [read, setRead] = useState(/** @type {any} */ (null));
  const [washes, setWashes] = useState('0');
  const [run, fault, busy] = useAction();
  useEffect(() => {
    run(async () => setPicture(await loadPixels(hash)));
  }, [hash]);
  const url = picture?.url;
  const release = () => {
    if (url) URL.revokeObjectURL(url);
  };
  useEffect(() => release, [url]);
  const tap = (e) => {
    const box = e.currentTarget.getBoundingClientRect();
    const spot = { x: (e.clientX - box.left) / box.width, y: (e.clientY - box.top) / box.height };
    const next = spots.length === 1 ? [spots[0], spot] : [spot];
    setSpots(next);
    setRead(null);
    if (next.length < 2) return;
    run(async () => {
      const { width, height, data } = picture;
      const args = { width, height, card: next[0], cloth: next[1] };
      const { value } = await callExtraWithBytes('photo.readColour', args, new Uint8Array(data.buffer));
      setRead(value);
    });
  };
  const save = () =>
    run(async () => {
      const body = { lab: read.lab, error: read.error, sha256: hash, washes: Number(washes) || 0 };
      await record([{ scope: `batch/${batch}`, subject: bag, kind: Kind.colourRead, body }], {
        undo: `Bag ${number}: colour saved`,
      });
      done();
    });
  const asks = ['Tap the white card', 'Now tap the cloth', 'Tap again to start over'][spots.length];
  return html`<div>
    <p class="lead" aria-live="polite">${asks}</p>
    ${
      picture &&
      html`<button type="button" class="photo-spots" aria-label=${asks} onClick=${tap}>
        <img src=${picture.url} alt="" />
        ${spots.map((s, i) => html`<i key=${i} style=${{ left: `${s.x * 100}%`, top: `${s.y * 100}%` }}>${i + 1}</i>`)}
      </button>`
    }
    <${ErrorBox} fault=${fault} />
    ${
      read &&
      html`<div class="swatch-and-name"><span class="swatch"><${Cloth} rgb=${read.rgb} /></span>
          <p><b>${capitalize(read.word)}</b>, ${labWords(read)}</p></div>
        <${Notes} list=${read.notes} />
        <${Stepper} label="Washes so far" value=${washes} onChange=${setWashes} max=${1000} />
        <button type="button" class="button wide" disabled=${busy} onClick=${save}>Save colour</button>`
    }
  </div>`;
}
