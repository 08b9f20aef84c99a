// The reference page of a calculator: how it reckons, from what, and who says so.
import { html, capitalize } from './html.js';
import { Sources } from './messages.js';

const mark = { published: 'published', practice: 'common practice', memory: 'from memory', judgement: 'judgement' };
const cite = (s) => (s?.text ? `${mark[s.kind] || s.kind}: ${s.text}` : '');

export const SumReference = ({
  entry,
}) => html`<section class="reference"><details><summary>How it is reckoned</summary>
  <p>${entry.formula}</p>
  <h3>It takes</h3>
  <dl>${entry.inputs.map((i) => html`<dt><b>${i.label}</b>${i.required ? '' : i.default ? `, ${i.default} if left out` : ', optional'}</dt><dd class="sub">${[i.help && capitalize(i.help), cite(i.source)].filter(Boolean).join('. ')}</dd>`)}</dl>
  <h3>It gives</h3>
  <dl>${entry.outputs.map((o) => html`<dt><b>${o.label}</b></dt><dd class="sub">${[o.help && capitalize(o.help), cite(o.source)].filter(Boolean).join('. ')}</dd>`)}</dl>
  <${Sources} list=${entry.sources} />
</details></section>`;
