// The card at the table for a piece of a design: how it will look, the sections of its bundle, and mL for each.
import { html } from '../parts/html.js';
import { useEffect, useRef } from 'preact/hooks';
import { callExtra, callExtraWithBytes } from '../core/extra.js';
import { useData } from '../parts/data-hooks.js';
import { Bundle } from './bundle.js';
import { paintCloth } from './cloth-pictures.js';
import { SideTable, sidesOf } from './fold-card.js';

const pictureSize = 256; // pixels

async function drawDesign(code) {
  const design = await callExtra('fold.decode', { code });
  const { value, bytes } = await callExtraWithBytes('fold.draw', { design, results: [], size: pictureSize });
  return { design, face: value.face, front: bytes?.subarray(0, 4 * value.size * value.size) };
}

/** TableCard shows a piece's design, as its view has it: {name, code, steps}. */
export function TableCard({ design: { name, code, steps } }) {
  const { value: drawn } = useData(() => drawDesign(code), [code]);
  const canvas = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  useEffect(() => {
    if (drawn?.front) paintCloth(canvas.current, pictureSize, drawn.front);
  }, [drawn]);
  const rgbOf = (colour) => steps.find((s) => s.colour.name === colour)?.colour.rgb;
  const sides = sidesOf(steps.map((s) => ({ ...s, colour: s.colour.name })));
  return html`<section class="table-card"><h2>${name}</h2>
    <div class="looks"><canvas ref=${canvas} width="2" height="2" role="img" aria-label="The front, opened out" />
      ${
        drawn && html`<${Bundle} face=${drawn.face} colours=${drawn.design.colours} sections=${drawn.design.a} />`
      }</div>
    ${sides.map(
      ({ side, steps: some }) => html`<${SideTable} key=${side} side=${side} steps=${some} rgbOf=${rgbOf} />`,
    )}</section>`;
}
