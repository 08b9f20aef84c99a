// Ends a batch whose record is incomplete: it was abandoned, or it was dyed as planned without the app.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { settleView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { useAction, useData } from './data-hooks.js';
import { Dialog } from './dialog.js';
import { ErrorBox } from './messages.js';
import { Lines } from './shopping-list.js';

/** EndBatch is the row that asks how the batch ended. */
export function EndBatch({ batch }) {
  const [open, setOpen] = useState(false);
  const close = () => setOpen(false);
  if (!batch.open) return null;
  return html`<button type="button" class="text-button" onClick=${() => setOpen(true)}>End this batch</button>
    <${Dialog} open=${open} onClose=${close} title="How did it end?">
      <${EndForm} batch=${batch} done=${close} /></${Dialog}>`;
}

function EndForm({ batch, done }) {
  const { value, fault: settleFault } = useData(() => (isHelper.value ? null : settleView(batch.id)));
  const [run, fault, busy] = useAction();
  const end = (note, undo, drafts = []) =>
    run(async () => {
      const finished = { scope: `batch/${batch.id}`, subject: batch.id, kind: Kind.batchFinished, body: { note } };
      await record([...drafts, finished], { undo });
      done();
    });
  const lines = value?.lines || [];
  return html`<div>
    ${
      lines.length > 0 &&
      html`<section><h3>Dyed as planned, not recorded</h3>
        <p class="sub">This comes off the shelf:</p><${Lines} list=${lines} />
        <button type="button" class="button wide" disabled=${busy}
          onClick=${() => end('dyed as planned, not recorded', 'Batch ended, its use taken off', value?.drafts)}>
          Take it off the shelf</button></section>`
    }
    <section><h3>Given up</h3>
      <p class="sub">Nothing more comes off the shelf or is on the shopping list. Its record stays.</p>
      <button type="button" class="button secondary wide" disabled=${busy}
        onClick=${() => end('given up', `${batch.name} given up`)}>Give it up</button></section>
    <${ErrorBox} fault=${settleFault || fault} />
  </div>`;
}
