// The steps of the rinse, from the core.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { Choice } from './choice.js';

/** ragResults are the marks that a white rag can show after it was pressed on the wet cloth. */
export const ragResults = [
  { value: 'clean', words: 'clean' },
  { value: 'tinted', words: 'tinted' },
  { value: 'stained', words: 'stained' },
];

/** RinseSteps lists the baths and records the result of the white-rag test. */
export function RinseSteps({ bag, recordFact }) {
  const [ragResult, setRagResult] = useState('');
  const handleChoice = (value) => {
    setRagResult(value);
    recordFact(Kind.ragTested, { showed: value }, `Rag: ${ragResults.find((r) => r.value === value)?.words}`);
  };
  return html`<section><h2>Rinse, gloves on</h2>
    <ol class="numbered-steps">${(bag.wash || []).map(
      (step, i) => html`<li key=${i}><b>${i + 1}</b><span>${capitalize(step)}</span></li>`,
    )}</ol>
    <${Choice} label="Press a white rag on the wet cloth" value=${ragResult} onChange=${handleChoice}
      options=${ragResults} />
    ${ragResult && ragResult !== 'clean' && html`<p class="note">One more hot bath, then press again.</p>`}
    <p class="sub fine-print">The order is common practice, no source; the number of baths is calculated:${' '}
      <a href="/sums/rinse">Washing out</a>.</p>
  </section>`;
}
