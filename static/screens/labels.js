// Labels: a paper tag for each bag, two by four on a page, as the printer will have them.
import {html} from '/parts/html.js';
import {useState} from 'preact/hooks';
import {record} from '/journal.js';
import {batchView} from '/views.js';
import {useLive, useDo} from '/parts/live.js';
import {Screen} from '/parts/screen.js';
import {Icon} from '/parts/icons.js';
import {takeBag} from '/parts/hand.js';
import {PaperTag} from '/parts/paper-tag.js';

export function Labels({id}) {
  const {value: batch, fault} = useLive(() => batchView(id), [id]);
  const [only] = useState(takeBag);
  const [left, leave] = useState({});
  const [run, wrong, busy] = useDo();
  const bags = batch?.bags.filter(b => b.address && (only ? b.id === only : b.stage === 'cure')) || [];
  const wanted = b => left[b.id] === undefined ? Boolean(only || b.toPrint) : !left[b.id];
  const on = bags.filter(wanted);
  const print = () => run(async () => {
    window.print();
    await record(on.map(b => ({scope: `batch/${id}`, subject: b.id, kind: 'bag.printed', body: {code: b.code, ready: b.ready || 0}})), {undo: on.length === 1 ? `Label of bag ${on[0].number} printed` : `${on.length} labels printed`});
  });
  return html`<${Screen} here="batches" back=${{href: only ? `/bag/${id}/${only}` : `/batch/${id}`, words: only ? 'Bag' : batch?.name || 'Batch'}} title="Labels" fault=${fault || wrong}
    sub=${batch && (bags.length ? 'Print, cut, slip into a small clear bag, tie on.' : 'No bag is closed yet.')}
    acts=${bags.length > 0 && html`<button type="button" class="act" disabled=${busy || on.length === 0} onClick=${print}><${Icon} name="print" />Print ${on.length === 1 ? 'the label' : `${on.length} labels`}</button>`}>
    <div class="paper-tags">${bags.map(b => html`<div class=${wanted(b) ? '' : 'left-out'} key=${b.id}><${PaperTag} bag=${b} />
      ${bags.length > 1 && html`<span class="pick"><input type="checkbox" id=${'l' + b.id} checked=${wanted(b)} onChange=${() => leave({...left, [b.id]: wanted(b)})} /><label for=${'l' + b.id}>Print bag ${b.number}<small>${b.toPrint || (b.printed ? `printed ${b.printed.when}` : 'a blank is on it')}</small></label></span>`}</div>`)}</div>
  </${Screen}>`;
}
