// History: every fact of a batch in words; any of them can be undone and restored.
import { html, classes, capitalize } from '../parts/html.js';
import { withDesignResults } from '../fold/designs.js';
import { restoreFacts, withdrawFacts } from '../journal/journal.js';
import { batchHistory, batchView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { useLongList } from '../parts/long-list.js';
import { PhotoThumb } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';

/** writerOf names who wrote a line; a helper's phone does not know the names of the house's phones. */
const writerOf = (line) => line.by || (isHelper.value && !line.byHub ? 'a phone of the house' : '');

/** canUndo says whether this phone may withdraw a line: a helper only what it wrote. */
const canUndo = (line) => !line.fixed && (line.isOwn || !isHelper.value);

export function History({ id }) {
  const { value: batch, fault: batchFault } = useLiveData(() => batchView(id), [id]);
  const { value: lines, fault } = useLiveData(() => batchHistory(id), [id]);
  const [run, actionFault, busy] = useAction();
  const { count, rest } = useLongList(lines?.length || 0);
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="History"
    sub="Nothing is ever lost: you can restore whatever you undo." fault=${fault || batchFault || actionFault}>
    <ol class="history">${lines
      ?.slice(0, count)
      .map((line) => html`<${HistoryLine} key=${line.fact} line=${line} run=${run} busy=${busy} />`)}</ol>
    ${rest}
  </${Screen}>`;
}

function HistoryLine({ line, run, busy }) {
  const words = line.withdrawn ? 'Restore' : 'Undo';
  const details = [writerOf(line), line.when, line.withdrawn && 'undone'];
  const change = () =>
    run(async () => (line.withdrawn ? restoreFacts : withdrawFacts)(await withDesignResults(line.facts)));
  return html`<li class=${classes(line.withdrawn && 'struck-out')}>
    <span><b>${capitalize(line.text)}</b>
      <span class="sub">${details.filter(Boolean).join(' · ')}</span></span>
    ${line.photo && html`<${PhotoThumb} hash=${line.photo} text=${`${line.text}, ${line.when}`} />`}
    ${
      canUndo(line) &&
      html`<button type="button" class="text-button" disabled=${busy} aria-label=${`${words}: ${line.text}`}
        onClick=${change}>${words}</button>`
    }
  </li>`;
}
