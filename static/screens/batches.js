// Batches: first the open ones, then the finished ones.
import { html } from '../parts/html.js';
import { doneBriefs, openBriefs } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { BatchRows } from '../parts/batch-rows.js';
import { useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { NewBatch, openNewBatch } from '../parts/new-batch.js';
import { Screen } from '../parts/screen.js';

const newBatchButton = html`<button type="button" class="button" onClick=${openNewBatch}>New batch</button>`;

const hasRows = (list) => Boolean(list?.length);

export function Batches() {
  const { value: open, fault } = useLiveData(() => openBriefs());
  // Those that are done may be many: they come after the others are on the screen.
  const { value: done, fault: doneFault } = useLiveData(async () => open && doneBriefs(), [Boolean(open)]);
  const isEmpty = open?.length === 0 && done?.length === 0;
  return html`<${Screen} activeTab="batches" title="Batches" fault=${fault || doneFault}
    actions=${!isHelper.value && newBatchButton}>
    ${
      isEmpty && html`<p class="sub">No batch yet. A batch is one pile of cloth, from the soak to the washing line.</p>`
    }
    ${
      (hasRows(open) || hasRows(done)) &&
      html`<${LinkRow} href="/results" title="Results" sub="how each bag came out; search them" />`
    }
    ${hasRows(open) && html`<section><h2>Open</h2><${BatchRows} list=${open} /></section>`}
    ${hasRows(done) && html`<section><h2>Done</h2><${BatchRows} list=${done} /></section>`}
    <${NewBatch} />
  </${Screen}>`;
}
