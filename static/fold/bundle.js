// The bundle from above: its sections take a colour by a tap, or by a thumb drawn over them.
import { html } from '../parts/html.js';
import { useRef } from 'preact/hooks';

const margin = 4; // units of the drawing, for the outline

const sectionOf = (e) => {
  const at = document.elementFromPoint(e.clientX, e.clientY)?.closest('[data-section]');
  return at ? Number(/** @type {SVGElement} */ (at).dataset.section) : -1;
};

/**
 * Bundle draws face, as the core gives it. colours are those of the design, sections the index of one
 * for each section, −1 for none. onPaint gets the number of a section; without it the bundle is only looked at.
 * turned mirrors it.
 */
export function Bundle({ face, colours, sections, turned, onPaint }) {
  const last = useRef(-1);
  const paint = (e) => {
    const i = sectionOf(e);
    if (i < 0 || i === last.current) return;
    last.current = i;
    onPaint(i);
  };
  const strokes = {
    onPointerDown: (e) => {
      last.current = -1;
      e.currentTarget.setPointerCapture(e.pointerId);
      paint(e);
    },
    onPointerMove: (e) => e.currentTarget.hasPointerCapture(e.pointerId) && paint(e),
  };
  const pressed = (e, i) => {
    if (e.key !== 'Enter' && e.key !== ' ') return;
    e.preventDefault();
    onPaint(i);
  };
  const button = (i) => ({ tabindex: 0, role: 'button', onKeyDown: (e) => pressed(e, i) });
  const nameOf = (i) => colours[sections[i]]?.name || 'no dye';
  const frame = `${-margin} ${-margin} ${face.width + 2 * margin} ${face.height + 2 * margin}`;
  const mirror = turned ? `translate(${face.width} 0) scale(-1 1)` : undefined;
  return html`<svg class="bundle" viewBox=${frame} role="group" ...${onPaint && strokes}
    aria-label=${turned ? 'Side B of the bundle' : 'Side A of the bundle'}>
    <g transform=${mirror}>${face.outline && html`<path class="bare" d=${face.outline} />`}
      ${face.sections.map(
        (s, i) => html`<path key=${i} d=${s.path} data-section=${i} ...${onPaint && button(i)}
        class=${sections[i] < 0 ? 'bare' : undefined} fill=${colours[sections[i]]?.rgb}
        aria-label=${`Section ${i + 1}: ${nameOf(i)}`} />`,
      )}</g>
    ${face.sections.map((s, i) => {
      const x = turned ? face.width - s.x : s.x;
      return html`<g key=${i} class="number" transform=${`translate(${x} ${s.y})`}>
        <circle r="10" /><text y="5">${i + 1}</text></g>`;
    })}
  </svg>`;
}
