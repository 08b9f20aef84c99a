// The reference section of a calculator: its formula, inputs, results and sources.
import { html, capitalize } from './html.js';
import { Sources } from './messages.js';

const evidenceLabels = {
  published: 'published',
  practice: 'common practice',
  memory: 'from memory',
  judgement: 'judgement',
};
const cite = (s) => (s?.text ? `${evidenceLabels[s.kind] || s.kind}: ${s.text}` : '');

/** detailsText is the second line of an input or output: its help and its source. */
const detailsText = (value) => [value.help && capitalize(value.help), cite(value.source)].filter(Boolean).join('. ');

/** defaultText says what an optional input defaults to. */
function defaultText(input) {
  if (input.required) return '';
  return input.default ? `, ${input.default} if left out` : ', optional';
}

export const SumReference = ({ entry }) => html`<section class="reference"><details>
  <summary>How this is worked out</summary>
  <p>${entry.formula}</p>
  <h2>Inputs</h2>
  <dl>${entry.inputs.map(
    (i) => html`<dt key=${i.key}><b>${i.label}</b>${defaultText(i)}</dt><dd class="sub">${detailsText(i)}</dd>`,
  )}</dl>
  <h2>Results</h2>
  <dl>${entry.outputs.map(
    (o) => html`<dt key=${o.key}><b>${o.label}</b></dt><dd
    class="sub">${detailsText(o)}</dd>`,
  )}</dl>
  <${Sources} list=${entry.sources} />
</details></section>`;
