// Draws a bag's progress as a strip of cloth that its colours move along (the dye front). All
// positions are shares of the strip, computed by the core.
import { html } from './html.js';

const width = 360;

/** seededAngles returns four angles that are always the same for the same text. */
function seededAngles(text) {
  let n = 2166136261;
  return [0, 1, 2, 3].map((k) => {
    for (const c of text + k) n = Math.imul(n ^ c.charCodeAt(0), 16777619);
    return ((n >>> 8) / 2 ** 24) * Math.PI * 2;
  });
}

/** frontOutline is the outline of dye that has reached x, wavy as liquid in cloth is. */
function frontOutline(x, height, seed, amplitude) {
  const [a, b, c, d] = seededAngles(seed);
  let path = `M-9 -2`;
  for (let y = -2; y <= height + 2; y += 1) {
    const wave =
      Math.sin(y * 0.085 + a) * 0.42 +
      Math.sin(y * 0.24 + b) * 0.3 +
      Math.sin(y * 0.61 + c) * 0.13 +
      Math.sin(y * 1.4 + d) * 0.07;
    path += `L${(x + wave * amplitude).toFixed(1)} ${y}`;
  }
  return path + `L-9 ${height + 2}z`;
}

/** stackColours places the colours one behind the other, up to the current front. */
function stackColours(colours, now) {
  const shares = colours.map((c) => c.share || 1);
  const total = shares.reduce((a, b) => a + b, 0) || 1;
  let sum = 0;
  return colours.map((c, i) => ({ rgb: c.rgb, caps: c.caps + i, at: ((sum += shares[i]) / total) * now }));
}

/** DyeFront draws the strip. The text beside it says the same, so screen readers skip it. */
export function DyeFront({ id, strip, colours, height = 34 }) {
  const now = Math.min(1, Math.max(0, strip.now));
  const amplitude = Math.min(height * 0.34, 1 + now * 110);
  const dye = stackColours(colours, now >= 1 ? 1.08 : now).reverse();
  const viewBox = `0 0 ${width} ${height}`;
  return html`<svg class="dye-front" viewBox=${viewBox} preserveAspectRatio="none" aria-hidden="true"
    style=${{ height: `${height / 18}rem` }}>
    <svg width=${width} height=${height} viewBox=${viewBox} preserveAspectRatio="none">
      <rect class="cloth" width=${width} height=${height} />
      ${dye.map(
        (d) => html`<g fill=${d.rgb} key=${d.caps}>
        <path d=${frontOutline(d.at * width + 5, height, id + d.caps + 'w', amplitude * 1.25)} opacity=".22" />
        <path d=${frontOutline(d.at * width + 2, height, id + d.caps + 'm', amplitude * 1.1)} opacity=".45" />
        <path d=${frontOutline(d.at * width - 2, height, id + d.caps, amplitude)} />
      </g>`,
      )}
      <rect width=${width} height=${height} fill="url(#weave)" />
      ${
        strip.ready > 0 &&
        html`<rect x=${strip.ready * width} width=${Math.max(0, (strip.late || 1) - strip.ready) * width}
          height=${height} fill="url(#hatch)" />`
      }
      <rect class="rim" x=".5" y=".5" width=${width - 1} height=${height - 1} rx="2" />
    </svg>
  </svg>`;
}

/** DyeFrontWithHours is the large strip on a bag's screen, with a scale of hours; frontLabel is at the dye's front. */
export function DyeFrontWithHours({ id, strip, colours, frontLabel = 'now' }) {
  const now = Math.min(1, Math.max(0, strip.now));
  const alignment = (x) => (x < 0.14 ? 'left' : x > 0.86 ? 'right' : '');
  const positionAt = (x) => ({ left: `${x * 100}%` });
  return html`<div class="front-with-hours" aria-hidden="true">
    <${DyeFront} id=${id} strip=${strip} colours=${colours} height=${66} />
    <div class="ruler">
      ${(strip.ticks || []).map(
        ({ x, text }) => html`<i style=${positionAt(x)} />
          ${text && html`<span class=${alignment(x)} style=${positionAt(x)}>${text}</span>`}`,
      )}
      ${
        strip.now <= 1 &&
        html`<i class="now" style=${positionAt(now)} />
          <span class=${'now ' + alignment(now)} style=${positionAt(now)}>${frontLabel}</span>`
      }
    </div>
  </div>`;
}

/** SvgPatterns are the patterns that strips and swatches share; each screen has them once. */
export const SvgPatterns = () => html`<svg class="visually-hidden" width="0" height="0" aria-hidden="true"><defs>
  <pattern id="weave" width="4" height="4" patternUnits="userSpaceOnUse">
    <path d="M0 0h2v2H0zM2 2h2v2H2z" fill="#000" opacity=".075" /></pattern>
  <pattern id="hatch" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(38)">
    <path d="M2.5 0v9" stroke="#f6f1e6" stroke-width="4.6" opacity=".5" />
    <path d="M2.5 0v9" stroke="#23313a" stroke-width="2" opacity=".85" /></pattern>
  ${hatches.map(
    (d, i) => html`<pattern id=${'mono' + i} width="8" height="8" patternUnits="userSpaceOnUse">
      <path d=${d} stroke="#000" stroke-width="1.3" fill="none" /></pattern>`,
  )}
</defs></svg>`;

/** hatches distinguish swatches on a printer that prints only black. */
export const hatches = [
  'M0 8L8 0',
  'M0 0L8 8',
  'M0 4H8',
  'M4 0V8',
  'M0 4H8M4 0V8',
  'M0 0L8 8M0 8L8 0',
  'M4 3v2M0 0v1M8 0v1M0 7v1M8 7v1',
  'M0 6Q2 2 4 6T8 6',
];
