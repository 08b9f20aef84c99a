// History: every fact of a batch in words; any of them can be taken back and put back.
import { html, capitalize, classes } from '../parts/html.js';
import { isHelper } from '../sync/hub-state.js';
import { withdrawFacts, restoreFacts } from '../journal/journal.js';
import { batchView, batchHistory } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { PhotoThumb } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';

/** by is who wrote a line; a helper's phone is not told what the phones of the house are called. */
const by = (l) => l.by || (isHelper.value && !l.byHub ? 'a phone of the house' : '');

export function History({ id }) {
  const { value: batch } = useLiveData(() => batchView(id), [id]);
  const { value: lines, fault } = useLiveData(() => batchHistory(id), [id]);
  const [run, wrong, busy] = useAction();
  const may = (l) => !l.fixed && (l.mine || !isHelper.value); // a helper takes back what it wrote
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="History" sub="Nothing is ever lost: what is taken back can be put back." fault=${fault || wrong}>
    <ol class="history">${lines?.map(
      (l) => html`<li key=${l.fact} class=${classes(l.withdrawn && 'gone')}>
      <span><b>${capitalize(l.text)}</b><span class="sub">${[by(l), l.when, l.withdrawn && 'taken back'].filter(Boolean).join(' · ')}</span></span>
      ${l.photo && html`<${PhotoThumb} hash=${l.photo} text=${`${l.text}, ${l.when}`} />`}
      ${may(l) && html`<button type="button" class="plain" disabled=${busy} aria-label=${`${l.withdrawn ? 'Put back' : 'Take back'}: ${l.text}`} onClick=${() => run(() => (l.withdrawn ? restoreFacts : withdrawFacts)([l.fact]))}>${l.withdrawn ? 'Put back' : 'Take back'}</button>`}
    </li>`,
    )}</ol>
  </${Screen}>`;
}
