// History: every fact of a batch in words; any of them can be taken back and put back.
import { html, first, classes } from '../parts/html.js';
import { helps } from '../sync/hub-state.js';
import { takeBack, putBack } from '../journal/journal.js';
import { batchView, history } from '../journal/views.js';
import { useLive, useDo } from '../parts/data-hooks.js';
import { Thumb } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';

/** what nobody takes back by hand */
const fixed = /^(fact\.|clock\.|numbers\.|share\.joined|batch\.started)/;

/** what the hub writes of itself */
const hubs = /^(numbers\.leased|share\.joined)$/;

/** by is who wrote a line; a helper's phone is not told what the phones of the house are called. */
const by = (l) => l.by || (helps.value && !hubs.test(l.kind) ? 'a phone of the house' : '');

export function History({ id }) {
  const { value: batch } = useLive(() => batchView(id), [id]);
  const { value: lines, fault } = useLive(() => history(id), [id]);
  const [run, wrong, busy] = useDo();
  const may = (l) => !fixed.test(l.kind) && (l.mine || !helps.value); // a helper takes back what it wrote
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="History" sub="Nothing is ever lost: what is taken back can be put back." fault=${fault || wrong}>
    <ol class="history">${lines?.map(
      (l) => html`<li key=${l.fact} class=${classes(l.withdrawn && 'gone')}>
      <span><b>${first(l.text)}</b><span class="sub">${[by(l), l.when, l.withdrawn && 'taken back'].filter(Boolean).join(' · ')}</span></span>
      ${l.photo && html`<${Thumb} hash=${l.photo} text=${`${l.text}, ${l.when}`} />`}
      ${may(l) && html`<button type="button" class="plain" disabled=${busy} aria-label=${`${l.withdrawn ? 'Put back' : 'Take back'}: ${l.text}`} onClick=${() => run(() => (l.withdrawn ? putBack : takeBack)([l.fact]))}>${l.withdrawn ? 'Put back' : 'Take back'}</button>`}
    </li>`,
    )}</ol>
  </${Screen}>`;
}
