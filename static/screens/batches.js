// Batches: the open ones, then those that are done.
import { html } from '../parts/html.js';
import { batchBriefs } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { BatchRows } from '../parts/batch-rows.js';
import { useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { NewBatch, openNewBatch } from '../parts/new-batch.js';
import { Screen } from '../parts/screen.js';

const newBatchButton = html`<button type="button" class="button" onClick=${openNewBatch}>New batch</button>`;

export function Batches() {
  const { value: list, fault } = useLiveData(() => batchBriefs());
  const open = list?.filter((b) => b.open) || [];
  const done = list?.filter((b) => !b.open) || [];
  return html`<${Screen} activeTab="batches" title="Batches" fault=${fault}
    actions=${!isHelper.value && newBatchButton}>
    ${
      list?.length === 0 &&
      html`<p class="sub">No batch yet. A batch is one pile of cloth, from the soak to the washing line.</p>`
    }
    ${(list?.length || 0) > 0 && html`<${LinkRow} href="/results" title="Results" sub="what came out, and a search" />`}
    ${open.length > 0 && html`<section><h2>Open</h2><${BatchRows} list=${open} /></section>`}
    ${done.length > 0 && html`<section><h2>Done</h2><${BatchRows} list=${done} /></section>`}
    <${NewBatch} />
  </${Screen}>`;
}
