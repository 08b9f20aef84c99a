// A QR code from the core's rows, with the quiet zone of four modules that a reader needs.
import { html } from './html.js';
import { call } from '../core/core.js';
import { useData } from './data-hooks.js';

/** QRCode draws the code of text; screen readers read label instead. */
export function QRCode({ text, label }) {
  const { value: code } = useData(() => call('qr.encode', { text }), [text]);
  if (!code) return html`<svg class="qr" viewBox="0 0 41 41" aria-hidden="true" />`;
  const side = code.size + 8;
  let d = '';
  code.rows.forEach((row, y) => {
    row.replace(/1+/g, (run, x) => {
      d += `M${x + 4} ${y + 4}h${run.length}v1h-${run.length}z`;
      return run;
    });
  });
  return html`<svg class="qr" viewBox="0 0 ${side} ${side}" shape-rendering="crispEdges" role="img" aria-label=${label}>
    <rect width=${side} height=${side} fill="#fff" /><path d=${d} fill="#000" />
  </svg>`;
}
