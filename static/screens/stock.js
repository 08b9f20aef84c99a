// One thing on the shelf: how much is there, what came and went, and what it is.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useEffect } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { stockView } from '../journal/views.js';
import { dropUnsaved, useAction, useLiveData, useUnsaved } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { LinkRow } from '../parts/link-row.js';
import { Notes } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { StockForm, unsavedStockFormKey } from '../parts/stock-form.js';
import { MoveForm, unsavedMoveFormKey, moves } from '../parts/stock-move.js';
import { Cloth } from '../parts/swatch.js';

export function Stock({ id }) {
  const { value: stock, fault } = useLiveData(() => stockView(id), [id]);
  const [open, setOpen] = useUnsaved(`stock.${id}`, ''); // a move, or 'change'; it comes back after a reload
  const [run, actionFault, busy] = useAction();
  const close = () => {
    setOpen(undefined);
    dropUnsaved(unsavedStockFormKey);
    dropUnsaved(unsavedMoveFormKey);
  };
  useEffect(
    () => () => {
      for (const name of [`stock.${id}`, unsavedStockFormKey, unsavedMoveFormKey]) dropUnsaved(name);
    },
    [],
  );
  const back = { href: '/shelf', words: 'Shelf' };
  const frame = { activeTab: 'shelf', back, fault: fault || actionFault };
  if (!stock) return html`<${Screen} ...${frame} title="On the shelf" />`;
  const remove = () =>
    run(async () => {
      const draft = { scope: 'shelf', subject: id, kind: Kind.stockChanged, body: { gone: true } };
      await record([draft], { undo: `${capitalize(stock.name)} removed from the shelf` });
      close();
      history.back();
    });
  return html`<${Screen} ...${frame} title=${capitalize(stock.name)} sub=${stock.facts}
    actions=${html`<button type="button" class="button" onClick=${() => setOpen('bought')}>Add a purchase</button>`}>
    <div class="stock-head">
      ${stock.rgb && html`<span class="swatch"><${Cloth} rgb=${stock.rgb} /></span>`}
      <p class="big-text">${stock.amount || 'amount not known'}</p>
    </div>
    ${stock.price && html`<p class="sub">${stock.price}</p>`}
    <${Notes} list=${stock.notes} />
    <div class="row">
      ${['counted', 'used', 'thrown'].map(
        (what) => html`<button type="button" class="button secondary small" key=${what}
          onClick=${() => setOpen(what)}>${moves[what].button(stock.sort)}</button>`,
      )}
    </div>
    <section><h2>History</h2><${Moves} stock=${stock} /></section>
    <section>
      <button type="button" class="text-button" onClick=${() => setOpen('change')}>Edit</button>
      <button type="button" class="text-button" disabled=${busy} onClick=${remove}>Remove from the shelf</button>
    </section>
    <${Dialog} open=${Boolean(open)} onClose=${close}
      title=${open === 'change' ? 'Edit' : open && moves[open].title(stock.name)}>
      ${open === 'change' && html`<${StockForm} stockType=${stock.sort} stock=${stock} done=${close} />`}
      ${open && open !== 'change' && html`<${MoveForm} what=${open} stock=${stock} done=${close} />`}
    </${Dialog}>
  </${Screen}>`;
}

/** Moves lists what happened to a thing; what a batch used leads to the batch. */
const Moves = ({ stock }) =>
  stock.moves.length === 0
    ? html`<p class="sub">Nothing yet. What a batch uses is subtracted automatically.</p>`
    : stock.moves.map(
        (m) => html`<${LinkRow} key=${m.fact} href=${m.batch ? `/batch/${m.batch}` : undefined} title=${m.text}
          sub=${m.batch ? `${m.when}, used by a batch` : m.when} icon=${m.batch ? 'on' : 'dash'} />`,
      );
