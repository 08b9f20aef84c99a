// Draws a bottle from above: its cap, with the grams that a dyer writes on it.
import { html } from './html.js';

/** ribbedRim is the rim of a screw cap. */
const ribbedRim = (() => {
  let path = '';
  for (let i = 0; i < 288; i++) {
    const angle = (i / 288) * Math.PI * 2,
      radius = i % 4 < 2 ? 113 : 110;
    const [x, y] = [120 + radius * Math.cos(angle), 120 + radius * Math.sin(angle)];
    path += `${i ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`;
  }
  return path + 'z';
})();

/** gramsSize is the font size at which the grams fit on the cap. */
const gramsSize = (grams) => (grams.length > 7 ? 42 : grams.length > 5 ? 51 : 60);

/** BottleCap draws the cap of a colour: what to weigh, its letters, and the volume. */
export const BottleCap = ({ rgb, caps, grams, volume }) => html`<svg class="bottle-cap" viewBox="0 0 240 240" role="img"
  aria-label=${`Cap ${caps}: ${grams}, made up to ${volume}`}>
  <path d=${ribbedRim} fill=${rgb} />
  <path d=${ribbedRim} fill="none" stroke="#000" stroke-opacity=".28" stroke-width="2" />
  <circle cx="120" cy="120" r="93" fill="none" stroke="#000" stroke-opacity=".22" stroke-width="6" />
  <circle cx="120" cy="120" r="90" fill="#f8f5ec" />
  <text class="grey" x="120" y="74" font-size="25" font-weight="700">${caps}</text>
  <text x="120" y="139" font-size=${gramsSize(grams)} font-weight="780" letter-spacing="-2">${grams}</text>
  <text class="grey" x="120" y="176" font-size=${volume.length > 9 ? 19 : 24} font-weight="600">${volume}</text>
</svg>`;
