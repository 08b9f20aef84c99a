// A price tag and a care card of a bag's pieces, to print and cut out.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useEffect, useState } from 'preact/hooks';
import { planView, resultView } from '../journal/views.js';
import { clearPageSize, printPage } from '../labels/print.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Field } from '../parts/field.js';
import { Screen } from '../parts/screen.js';
/** @import { CostView } from '../dist/calls.d.ts' */

export function CareCard({ batch, bag: id }) {
  const { value: result, fault } = useLiveData(() => resultView(batch, id), [batch, id]);
  const { value: plan } = useLiveData(() => planView(batch), [batch]);
  const [typed, setPrice] = useState(/** @type {string | undefined} */ (undefined));
  const [run, printFault, busy] = useAction();
  useEffect(clearPageSize, []);
  const back = { href: `/bag/${batch}/${id}/result`, words: 'Result' };
  const frame = { activeTab: 'batches', back, fault: fault || printFault };
  if (!result) return html`<${Screen} ...${frame} title="Care card" />`;
  const { tag } = result;
  const cost = plan?.cost;
  const price = typed ?? cost?.price ?? '';
  const print = () => run(printPage);
  const actions = html`<button type="button" class="button" disabled=${busy} onClick=${print}>Print</button>`;
  return html`<${Screen} ...${frame} overline=${`Bag ${result.number}, ${result.what}`} title="Care card"
    actions=${actions}>
    <${Field} label="Price" value=${price} onInput=${setPrice} placeholder="28.00" help=${cost && costWords(cost)} />
    <div class="pages"><div class="page care-card">
      <p class="card-name">${capitalize(tag.name)}</p>
      ${price && html`<p class="card-price">${price}</p>`}
      <p>${capitalize(tag.fibres)}</p>
      <p>${capitalize(tag.dyes)}</p>
      <ul>${tag.care.map((line) => html`<li key=${line}>${keepUnits(line)}</li>`)}</ul>
    </div></div>
    <p class="sub care-source">From memory: ${tag.source}.</p>
  </${Screen}>`;
}

/**
 * costWords says what one piece of the batch costs, and how the price comes about.
 * @param {CostView} cost
 */
const costWords = ({ each, price }) =>
  `${keepUnits(each)} is what one piece of this batch costs${price ? '; the price adds your margin' : ''}`;
