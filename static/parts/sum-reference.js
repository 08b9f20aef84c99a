// The reference page of a calculator: how it works its answer out, from what, and by which sources.
import { html, capitalize } from './html.js';
import { Sources } from './messages.js';

const mark = { published: 'published', practice: 'common practice', memory: 'from memory', judgement: 'judgement' };
const cite = (s) => (s?.text ? `${mark[s.kind] || s.kind}: ${s.text}` : '');

/** details is the second line of an input or output: its help and its source. */
const details = (value) => [value.help && capitalize(value.help), cite(value.source)].filter(Boolean).join('. ');

/** leftOut says what an input that may be left out is then. */
function leftOut(input) {
  if (input.required) return '';
  return input.default ? `, ${input.default} if left out` : ', optional';
}

export const SumReference = ({ entry }) => html`<section class="reference"><details>
  <summary>How this is worked out</summary>
  <p>${entry.formula}</p>
  <h3>It takes</h3>
  <dl>${entry.inputs.map(
    (i) => html`<dt key=${i.key}><b>${i.label}</b>${leftOut(i)}</dt><dd class="sub">${details(i)}</dd>`,
  )}</dl>
  <h3>It gives</h3>
  <dl>${entry.outputs.map((o) => html`<dt key=${o.key}><b>${o.label}</b></dt><dd class="sub">${details(o)}</dd>`)}</dl>
  <${Sources} list=${entry.sources} />
</details></section>`;
