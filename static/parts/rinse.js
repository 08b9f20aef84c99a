// The rinse, step by step: common practice, in the order that keeps light cloth light.
import {html} from './html.js';
import {useState} from 'preact/hooks';
import {Choice} from './choice.js';

const steps = [
  'Gloves on. Rinse it cold while it is still tied, until the water is pale.',
  'Untie it under running cold water.',
  'Cold baths until it no longer feels slippery: then the soda ash is out.',
  'Hot water with a little detergent, bath after bath, until it runs clear.',
];
const rag = [{value: 'clean', words: 'stays clean'}, {value: 'tinted', words: 'a tint'}, {value: 'stained', words: 'stained'}];

/** Rinse lists the baths and takes what a white rag showed. */
export function Rinse({bag, write}) {
  const [showed, set] = useState('');
  const press = value => { set(value); write('rag.tested', {showed: value}, `Rag: ${rag.find(r => r.value === value).words}`); };
  return html`<section><h2>Rinse, light colours first</h2>
    <ol class="way">${steps.map((s, i) => html`<li key=${i}><b>${i + 1}</b><span>${s}</span></li>`)}</ol>
    <${Choice} label="Press a white rag on the wet cloth" value=${showed} onChange=${press} options=${rag} />
    ${showed && showed !== 'clean' && html`<p class="note">One more hot bath, then press again.</p>`}
    <p class="sub kinds">Common practice, no source.</p>
  </section>`;
}
