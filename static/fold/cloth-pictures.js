// The opened cloth, front and back, as it follows the thumb.
import { html } from '../parts/html.js';
import { useEffect, useRef, useState } from 'preact/hooks';
import { asFault } from '../core/fault.js';
import { pictureQueue } from './picture-queue.js';

const roughSize = 128; // pixels along a side, while fold or garment change
const fineSize = 384;
const fineAfter = 160; // ms without a change
const arrowStep = 0.02; // of the cloth

/** paintCloth puts the pixels of one layer, RGBA, on a canvas. */
export function paintCloth(canvas, size, pixels) {
  if (!canvas) return;
  if (canvas.width !== size) canvas.width = canvas.height = size;
  const clamped = new Uint8ClampedArray(pixels.buffer, pixels.byteOffset, pixels.length);
  // Kept in memory: it is only ever written as a whole.
  canvas
    .getContext('2d', { willReadFrequently: true })
    ?.putImageData(new ImageData(/** @type {any} */ (clamped), size, size), 0, 0);
}

/**
 * useClothPictures asks for the picture of query = {design, results, factor, wet} at every
 * change, and returns {front, back, picture, fault}: two refs for canvases and what came with the pixels.
 */
export function useClothPictures(query) {
  const front = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  const back = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  const [picture, setPicture] = useState(/** @type {any} */ (null));
  const [fault, setFault] = useState(/** @type {any} */ (null));
  const ask = useRef(/** @type {((request: any) => void) | null} */ (null));
  const lastMap = useRef('');
  ask.current ??= pictureQueue(
    (value, pixels) => {
      const bytes = 4 * value.size * value.size;
      paintCloth(front.current, value.size, pixels.subarray(0, bytes));
      if (value.layers > 1) paintCloth(back.current, value.size, pixels.subarray(bytes, 2 * bytes));
      setFault(null);
      setPicture(value);
    },
    (err) => setFault(asFault(err)),
  );
  useEffect(() => {
    if (!query) return;
    const draw = (size) => ask.current?.({ ...query, size });
    const map = JSON.stringify([query.design.garment, query.design.fold]);
    const isSameMap = map === lastMap.current;
    lastMap.current = map;
    draw(isSameMap ? fineSize : roughSize);
    if (isSameMap) return;
    const timer = setTimeout(() => draw(fineSize), fineAfter);
    return () => clearTimeout(timer);
  }, [query && JSON.stringify(query)]);
  return { front, back, picture, fault };
}

/** shareAt returns where in an element a pointer is, as shares of the cloth from its middle, −0.5 to 0.5. */
function shareAt(e, element, box) {
  const at = element.getBoundingClientRect();
  const share = (v, size) => Math.round(Math.min(0.5, Math.max(-0.5, v / size)) * 1000) / 1000;
  return {
    x: share((e.clientX - at.left) / at.width - 0.5, box.x),
    y: share((e.clientY - at.top) / at.height - 0.5, box.y),
  };
}

const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** CenterHandle is the ring that a thumb drags to where the fold has its centre. */
function CenterHandle({ center, box, onMove }) {
  const handle = useRef(/** @type {HTMLButtonElement | null} */ (null));
  const moveTo = (e) => onMove(shareAt(e, handle.current?.parentElement, box));
  const drag = {
    onPointerDown: (e) => e.currentTarget.setPointerCapture(e.pointerId),
    onPointerMove: (e) => e.currentTarget.hasPointerCapture(e.pointerId) && moveTo(e),
    onKeyDown: (e) => {
      const by = arrows[e.key];
      if (!by) return;
      e.preventDefault();
      const limit = (v) => Math.round(Math.min(0.5, Math.max(-0.5, v)) * 1000) / 1000;
      onMove({ x: limit(center.x + by[0] * arrowStep), y: limit(center.y + by[1] * arrowStep) });
    },
  };
  const place = { left: `${50 + 100 * center.x * box.x}%`, top: `${50 + 100 * center.y * box.y}%` };
  return html`<button type="button" class="center-handle" ref=${handle} style=${place} ...${drag}
    aria-label="Centre of the fold: drag it, or use the arrow keys"><i /></button>`;
}

/** ClothPictures shows front and back; onCenter is given where the fold has a centre. */
export function ClothPictures({ pictures: { front, back, picture }, design, onCenter, children }) {
  const box = picture?.box;
  const hasBack = !picture || picture.layers > 1;
  return html`<div class=${hasBack ? 'cloth-pictures' : 'cloth-pictures single'}>
    <div class="opened">
      <canvas ref=${front} width="2" height="2" role="img" aria-label="The front, opened out" />
      ${onCenter && box && html`<${CenterHandle} center=${design.fold.center} box=${box} onMove=${onCenter} />`}
    </div>
    <div class="opened" hidden=${!hasBack}>
      <canvas ref=${back} width="2" height="2" role="img" aria-label="The back, opened out" /></div>
    <p class="under">${hasBack && html`<span>front</span>`}<span aria-live="polite">${children}</span>
      ${hasBack && html`<span>back</span>`}</p>
  </div>`;
}
