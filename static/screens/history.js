// History: every fact of a batch in words; any of them can be taken back and put back.
import {html, first, classes} from '/parts/html.js';
import {takeBack, putBack} from '/journal.js';
import {batchView, history} from '/views.js';
import {useLive, useDo} from '/parts/live.js';
import {Thumb} from '/parts/photo.js';
import {Screen} from '/parts/screen.js';

/** what nobody takes back by hand */
const fixed = /^(fact\.|clock\.|numbers\.)/;

export function History({id}) {
  const {value: batch} = useLive(() => batchView(id), [id]);
  const {value: lines, fault} = useLive(() => history(id), [id]);
  const [run, wrong, busy] = useDo();
  return html`<${Screen} here="batches" back=${{href: `/batch/${id}`, words: batch?.name || 'Batch'}} title="History" sub="Nothing is ever lost: what is taken back can be put back." fault=${fault || wrong}>
    <ol class="history">${lines?.map(l => html`<li key=${l.fact} class=${classes(l.withdrawn && 'gone')}>
      <span><b>${first(l.text)}</b><span class="sub">${[l.by, l.when, l.withdrawn && 'taken back'].filter(Boolean).join(' · ')}</span></span>
      ${l.photo && html`<${Thumb} hash=${l.photo} text=${`${l.text}, ${l.when}`} />`}
      ${!fixed.test(l.kind) && l.kind !== 'batch.started' && html`<button type="button" class="plain" disabled=${busy} aria-label=${`${l.withdrawn ? 'Put back' : 'Take back'}: ${l.text}`} onClick=${() => run(() => (l.withdrawn ? putBack : takeBack)([l.fact]))}>${l.withdrawn ? 'Put back' : 'Take back'}</button>`}
    </li>`)}</ol>
  </${Screen}>`;
}
