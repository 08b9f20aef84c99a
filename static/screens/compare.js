// Compares two batches step by step, with one bag standing for each, or two bags side by side.
import { html, capitalize, classes, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { batchBriefs, batchView, compareView } from '../journal/views.js';
import { Chips } from '../parts/choice.js';
import { useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { Screen } from '../parts/screen.js';

/** CompareBag compares one bag with another, of the same batch or of another. */
export const CompareBag = ({ batch, bag }) =>
  html`<${Compare} id=${batch} bag=${bag} back=${{ href: `/bag/${batch}/${bag}/result`, words: 'Result' }} />`;

/** @param {{id: string, bag?: string, back?: {href: string, words: string}}} props */
export function Compare({ id, bag, back }) {
  const [other, setOther] = useState('');
  const [bags, setBags] = useState(/** @type {{a?: string, b?: string}} */ ({ a: bag })); // the chosen bags
  const { value: batch, fault: batchFault } = useLiveData(() => batchView(id), [id]);
  const { value: list, fault } = useLiveData(batchBriefs);
  const { value: pair, fault: pairFault } = useLiveData(
    () => (other ? compareView(id, other, bags.a, bags.b) : undefined),
    [id, other, bags.a, bags.b],
  );
  const isItself = other === id;
  const choose = (batchId) => {
    setOther(batchId);
    // The same batch is compared by two of its bags.
    const [first, ...rest] = batchId === id ? batch?.bags.map((b) => b.id) || [] : [];
    const a = bag || first;
    setBags({ a, b: [...rest, first].find((b) => b !== a) });
  };
  const others = list?.filter((b) => b.id !== id) || [];
  return html`<${Screen} activeTab="batches" back=${back || { href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="Compare" sub=${pair && differsFirst(pair)} fault=${batchFault || fault || pairFault}>
    ${pair && html`<${Rows} pair=${pair} />`}
    ${pair?.apart && html`<p class="note">${pair.apart}.</p>`}
    ${
      pair &&
      html`<${BagChips} label=${isItself ? 'First bag' : `Bag of ${pair.a.batchName}`} side=${pair.a}
        onChange=${(a) => setBags({ ...bags, a })} />
      <${BagChips} label=${isItself ? 'Second bag' : `Bag of ${pair.b.batchName}`} side=${pair.b}
        onChange=${(b) => setBags({ ...bags, b })} />`
    }
    <section><h2>${pair ? 'Compare with another' : 'Compare with which batch?'}</h2>
      ${
        (batch?.bags.length || 0) > 1 &&
        html`<${LinkRow} title="Two bags of this batch" sub="what was different between them" current=${isItself}
          onClick=${() => choose(id)} />`
      }
      ${list && others.length === 0 && html`<p class="note">There is no other batch yet.</p>`}
      ${others.map(
        (b) => html`<${LinkRow} key=${b.id} title=${b.name} sub=${b.detail} current=${b.id === other}
          onClick=${() => choose(b.id)} />`,
      )}</section>
  </${Screen}>`;
}

/** BagChips lets the person choose which bag of a batch is compared. */
const BagChips = ({ label, side, onChange }) =>
  side.bags.length > 1 &&
  html`<${Chips} label=${label} value=${side.bag} onChange=${(bag) => bag && onChange(bag)}
    options=${side.bags.map((b) => ({ value: b.id, words: b.number, name: `${label}: bag ${b.number}` }))} />`;

const differsFirst = ({ first }) =>
  first ? `What differed first: ${first}.` : 'Nothing differs but the weight, as far as it was recorded.';

const Value = ({ text, differs }) => html`<dd class=${classes(differs && 'differs')}>${keepUnits(text)}</dd>`;

const Rows = ({ pair }) => html`<dl class="compared">
  <dt aria-hidden="true"></dt><dd><b>${pair.a.name}</b></dd><dd><b>${pair.b.name}</b></dd>
  ${pair.rows.map(
    (r, i) => html`<dt key=${i} class=${classes(r.differs && 'differs')}>${capitalize(r.what)}
        ${r.differs && html`<span class="visually-hidden">, differs</span>`}</dt>
      <${Value} text=${r.a} differs=${r.differs} /><${Value} text=${r.b} differs=${r.differs} />`,
  )}
</dl>`;
