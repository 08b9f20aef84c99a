// Draws a colour as a small piece of cloth with a zigzag edge, and its letters on a plate.
import { clothEdge } from '../dist/constants.js';
import { html, classes } from './html.js';

/** Cloth is the piece of cloth alone; mono is the number of its hatch on a black-only printer. */
export const Cloth = ({ rgb, caps, mono }) => html`<svg viewBox="0 0 72 60" aria-hidden="true">
  <path d=${clothEdge} fill=${rgb} />
  <path d=${clothEdge} fill=${mono == null ? 'url(#weave)' : `url(#mono${mono % 8})`} />
  ${
    caps &&
    html`<rect class="plate" x="16" y="15.5" width="40" height="29" rx="2.5" />
      <text x="36" y="38.5" font-size="24">${caps}</text>`
  }
</svg>`;

/** Swatch is the cloth with its name under it; small and little leave the name to screen readers. */
export const Swatch = ({ colour, detail, small, little }) => html`<span
  class=${classes('swatch', small && 'small', little && 'little')}>
  <${Cloth} rgb=${colour.rgb} caps=${colour.caps} />
  ${(small || little) && html`<span class="visually-hidden">${colour.name}</span>`}
  ${!(small || little) && colour.name !== colour.caps && html`<span>${colour.name}</span>`}
  ${detail && html`<small>${detail}</small>`}
</span>`;

/** Swatches shows several side by side. */
export const Swatches = ({ colours, detail }) =>
  html`<ul class="swatches">${colours.map(
    (c) => html`<li key=${c.id}><${Swatch} colour=${c} detail=${detail && detail(c)} /></li>`,
  )}</ul>`;
