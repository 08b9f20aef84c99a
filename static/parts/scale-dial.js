// A dial like that of a scale, with the target range as a band. The core gives the range
// and says whether a reading is good; the dial only draws it.
import { html, classes } from './html.js';

const centre = [180, 214];
const radius = 168;
const span = 0.35; // share of the target that the dial shows on each side
const sweep = 46; // degrees on each side
const pointAt = (angle, r) => {
  const rad = (angle * Math.PI) / 180;
  return [centre[0] + r * Math.sin(rad), centre[1] - r * Math.cos(rad)].map((n) => n.toFixed(1));
};
const arcPath = (from, to, r) => `M${pointAt(from, r)}A${r} ${r} 0 0 1 ${pointAt(to, r)}`;
const ticks = Array.from({ length: 15 }, (_, i) => ((i - 7) * sweep) / 7);

/** ScaleDial shows a reading in grams against {target, low, high}; verdict is in, out or nothing. */
export function ScaleDial({ target, low, high, reading, targetText, readingText, verdict }) {
  const angleOf = (grams) => Math.max(-1, Math.min(1, (grams / target - 1) / span)) * sweep;
  return html`<svg class="scale-dial" viewBox="0 0 360 142" aria-hidden="true">
    ${low > 0 && html`<path class="band" d=${arcPath(angleOf(low), angleOf(high), radius - 9)} stroke-width="22" />`}
    <path class="scale-arc" d=${arcPath(-sweep, sweep, radius)} stroke-width="3" />
    ${ticks.map(
      (t, i) => html`<path class="mark" stroke-width=${i % 7 ? 1.8 : 3}
        d=${`M${pointAt(t, radius)}L${pointAt(t, radius - (i % 7 ? 9 : 15))}`} />`,
    )}
    <text x="180" y="36">${targetText}</text>
    <text x="70" y="128">less</text><text x="290" y="128">more</text>
    ${
      reading > 0 &&
      html`<g transform=${`rotate(${angleOf(reading)} ${centre[0]} ${centre[1]})`}>
        <path class=${classes('needle', verdict)} d="M180 66l8.5 29h-17z" /></g>
      <text class=${classes('read', verdict)} x="180" y="130">${readingText}</text>`
    }
  </svg>`;
}
