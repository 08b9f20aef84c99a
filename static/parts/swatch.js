// A colour is a small piece of cloth with a pinked edge, and its letters on a plate.
import { html, classes } from './html.js';

/** pinked is the outline of a piece of cloth cut with pinking shears. */
const pinked = (w, h, t) => {
  let d = `M${t} ${t}`;
  const side = (n, x, y, out) => {
    for (let i = 0; i < n; i++)
      d += `l${x * t + out[0] * t} ${y * t + out[1] * t}l${x * t - out[0] * t} ${y * t - out[1] * t}`;
  };
  const across = (w - 2 * t) / (2 * t),
    down = (h - 2 * t) / (2 * t);
  side(across, 1, 0, [0, -1]);
  side(down, 0, 1, [1, 0]);
  side(across, -1, 0, [0, 1]);
  side(down, 0, -1, [-1, 0]);
  return d + 'z';
};
const cloth = pinked(72, 60, 3);

/** Cloth is the piece of cloth alone; mono is the number of its hatch in print. */
export const Cloth = ({ rgb, caps, mono }) => html`<svg viewBox="0 0 72 60" aria-hidden="true">
  <path d=${cloth} fill=${rgb} /><path d=${cloth} fill=${mono == null ? 'url(#weave)' : `url(#mono${mono % 8})`} />
  ${caps && html`<rect class="plate" x="16" y="15.5" width="40" height="29" rx="2.5" /><text x="36" y="38.5" font-size="24">${caps}</text>`}
</svg>`;

/** Swatch is the cloth with its name under it. */
export const Swatch = ({ colour, detail, little }) => html`<span class=${classes('swatch', little && 'little')}>
  <${Cloth} rgb=${colour.rgb} caps=${colour.caps} />${little ? html`<span class="aside">${colour.name}</span>` : colour.name !== colour.caps && html`<span>${colour.name}</span>`}
  ${detail && html`<small>${detail}</small>`}
</span>`;

/** Swatches lays them side by side. */
export const Swatches = ({ colours, detail }) =>
  html`<ul class="swatches">${colours.map((c) => html`<li key=${c.id}><${Swatch} colour=${c} detail=${detail && detail(c)} /></li>`)}</ul>`;
