// Two batches side by side, in the order of the job.
import { html, capitalize, classes, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { batchBriefs, batchView, compareView } from '../journal/views.js';
import { useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { Screen } from '../parts/screen.js';

export function Compare({ id }) {
  const [other, setOther] = useState('');
  const { value: batch, fault: batchFault } = useLiveData(() => batchView(id), [id]);
  const { value: list, fault } = useLiveData(batchBriefs);
  const { value: pair, fault: pairFault } = useLiveData(
    () => (other ? compareView(id, other) : undefined),
    [id, other],
  );
  const others = list?.filter((b) => b.id !== id) || [];
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="Compare" sub=${pair && differsFirst(pair)} fault=${batchFault || fault || pairFault}>
    ${pair && html`<${Rows} pair=${pair} />`}
    <section><h2>${pair ? 'Compare with another' : 'Compare with which batch?'}</h2>
      ${list && others.length === 0 && html`<p class="note">There is no other batch yet.</p>`}
      ${others.map(
        (b) => html`<${LinkRow} key=${b.id} title=${b.name} sub=${b.detail} current=${b.id === other}
          onClick=${() => setOther(b.id)} />`,
      )}</section>
  </${Screen}>`;
}

const differsFirst = ({ first }) =>
  first ? `What differed first: ${first}.` : 'Nothing differs but the weight, as far as it was recorded.';

const Value = ({ text, differs }) => html`<dd class=${classes(differs && 'differs')}>${keepUnits(text)}</dd>`;

const Rows = ({ pair }) => html`<dl class="compared">
  <dt aria-hidden="true"></dt><dd><b>${pair.a}</b></dd><dd><b>${pair.b}</b></dd>
  ${pair.rows.map(
    (r, i) => html`<dt key=${i} class=${classes(r.differs && 'differs')}>${capitalize(r.what)}
        ${r.differs && html`<span class="visually-hidden">, differs</span>`}</dt>
      <${Value} text=${r.a} differs=${r.differs} /><${Value} text=${r.b} differs=${r.differs} />`,
  )}
</dl>`;
