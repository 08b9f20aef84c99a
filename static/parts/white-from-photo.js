// The white of a piece, traced on its photo with a thumb: a line around the cloth, then one around
// each part that stayed white. The core works out the share.
import { html } from './html.js';
import { useEffect, useRef, useState } from 'preact/hooks';
import { callExtra } from '../core/extra.js';
import { loadStoredPhoto } from '../sync/photos.js';
import { useAction } from './data-hooks.js';
import { ErrorBox } from './messages.js';

/** @typedef {{x: number, y: number}} Point */

const leastMove = 0.004; // of the photo: a thumb that rests draws no points

/** pointOf returns where a touch is, as shares of the photo. */
const pointOf = (e, box) => ({ x: (e.clientX - box.left) / box.width, y: (e.clientY - box.top) / box.height });

const pathOf = (line) => `M${line.map((p) => `${p.x} ${p.y}`).join('L')}Z`;

/** useLine follows one finger over an element and hands over the line when the finger is up. */
function useLine(onLine) {
  const [drawn, setDrawn] = useState(/** @type {Point[]} */ ([]));
  const line = useRef(/** @type {Point[]} */ ([]));
  const keep = (points) => {
    line.current = points;
    setDrawn(points);
  };
  const finish = () => {
    if (line.current.length > 2) onLine(line.current);
    keep([]);
  };
  return {
    drawn,
    strokes: {
      onPointerDown: (e) => {
        if (!e.isPrimary) return;
        e.currentTarget.setPointerCapture(e.pointerId);
        keep([pointOf(e, e.currentTarget.getBoundingClientRect())]);
      },
      onPointerMove: (e) => {
        if (!e.isPrimary || line.current.length === 0) return;
        const p = pointOf(e, e.currentTarget.getBoundingClientRect());
        const last = line.current[line.current.length - 1];
        if (Math.hypot(p.x - last.x, p.y - last.y) >= leastMove) keep([...line.current, p]);
      },
      onPointerUp: finish,
      onPointerCancel: () => keep([]),
    },
  };
}

/** WhiteFromPhoto calls onSave with the share of the cloth that was traced as white. */
export function WhiteFromPhoto({ hash, onSave, done }) {
  const [url, setUrl] = useState('');
  const [lines, setLines] = useState(/** @type {Point[][]} */ ([]));
  const [traced, setTraced] = useState(/** @type {{share: number, words: string} | null} */ (null));
  const [run, fault, busy] = useAction();
  useEffect(() => {
    run(async () => setUrl(URL.createObjectURL(await loadStoredPhoto(hash))));
  }, []);
  useEffect(() => () => url && URL.revokeObjectURL(url), [url]);
  const trace = (next) => {
    setLines(next);
    setTraced(null);
    const [cloth, ...white] = next;
    if (cloth) run(async () => setTraced(await callExtra('fold.traced', { cloth, white })));
  };
  const { drawn, strokes } = useLine((line) => trace([...lines, line]));
  const save = () =>
    run(async () => {
      await onSave(traced?.share);
      done();
    });
  const prompt = lines.length ? 'Now draw around each part that stayed white' : 'Draw around the cloth';
  return html`<div>
    <p class="lead" aria-live="polite">${prompt}</p>
    ${
      url &&
      html`<div class="photo-trace"><img src=${url} alt="" />
        <svg viewBox="0 0 1 1" preserveAspectRatio="none" role="img" aria-label=${prompt} ...${strokes}>
          ${lines.map((line, i) => html`<path key=${i} class=${i ? 'white' : 'cloth'} d=${pathOf(line)} />`)}
          ${drawn.length > 1 && html`<path class=${lines.length ? 'white' : 'cloth'} d=${pathOf(drawn)} />`}
        </svg></div>`
    }
    <p class="sub">Leave out what you bound to keep it white. One photo shows one side.</p>
    <${ErrorBox} fault=${fault} />
    ${traced && html`<p>White: <b>${traced.words}</b></p>`}
    <div class="row">
      <button type="button" class="button secondary" disabled=${lines.length === 0}
        onClick=${() => trace(lines.slice(0, -1))}>Remove line</button>
      <button type="button" class="button" disabled=${busy || !traced} onClick=${save}>Save</button>
    </div>
  </div>`;
}
