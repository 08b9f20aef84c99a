// The printed label, 105 by 74 mm: the number huge and underlined, when it is ready,
// what it is, its colours in words, letters and hatch, and the code.
import {html, first} from './html.js';
import {Cloth} from './swatch.js';
import {QR} from './qr.js';

/** PaperTag draws a bag's label in black on white, also for a printer without colours. */
export const PaperTag = ({bag}) => html`<article class="paper-tag" aria-label=${`Label of bag ${bag.number}`}>
  <svg class="pt-edge" viewBox="0 0 105 74" aria-hidden="true"><path d="M10.5 1.5H103.5V72.5H10.5L1.5 63V11z" fill="none" stroke="#111" stroke-width=".5" /><circle cx="7" cy="37" r="3" fill="none" stroke="#111" stroke-width=".5" /></svg>
  <div class="pt-top"><p class="pt-no">${bag.number}</p>
    <div class="pt-what"><p class="pt-piece">${first(bag.what)}</p><p>${bag.batchName}</p><p>closed ${bag.paper.closed}</p></div>
    <div class="pt-code"><${QR} text=${bag.address} label=${`Code of bag ${bag.number}`} /><p class="pt-id">${bag.typed}</p></div></div>
  <p class="pt-keep">${bag.ready ? 'Keep wet and warm until about' : first(bag.headline)}</p>
  <p class="pt-when">${bag.paper.ready || 'no time can be told'}</p>
  <p class="pt-if">${[bag.paper.safe && `to be safe ${bag.paper.safe}`, bag.if].filter(Boolean).join(', ')}</p>
  <ul class="pt-colours">${bag.colours.slice(0, 4).map((c, i) => html`<li key=${c.id}><${Cloth} rgb=${c.rgb} mono=${i} /><b>${c.caps}</b> ${c.name}</li>`)}${bag.colours.length > 4 && html`<li>and ${bag.colours.slice(4).map(c => c.caps).join(' ')}</li>`}</ul>
  <p class="pt-care">Gloves on. Rinse before the machine.</p>
</article>`;
