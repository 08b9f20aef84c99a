// The rinse, step by step, as the core lays it out.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { Choice } from './choice.js';

const rag = [
  { value: 'clean', words: 'stays clean' },
  { value: 'tinted', words: 'a tint' },
  { value: 'stained', words: 'stained' },
];

/** RinseSteps lists the baths and takes what a white rag showed. */
export function RinseSteps({ bag, write }) {
  const [showed, set] = useState('');
  const press = (value) => {
    set(value);
    write(Kind.ragTested, { showed: value }, `Rag: ${rag.find((r) => r.value === value)?.words}`);
  };
  return html`<section><h2>Rinse, gloves on</h2>
    <ol class="way">${(bag.wash || []).map(
      (step, i) => html`<li key=${i}><b>${i + 1}</b><span>${capitalize(step)}</span></li>`,
    )}</ol>
    <${Choice} label="Press a white rag on the wet cloth" value=${showed} onChange=${press} options=${rag} />
    ${showed && showed !== 'clean' && html`<p class="note">One more hot bath, then press again.</p>`}
    <p class="sub kinds">The order is common practice, no source; the number of baths is a sum:${' '}
      <a href="/sums/rinse">Washing out</a>.</p>
  </section>`;
}
