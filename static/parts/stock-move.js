// A form for an amount of a thing on the shelf: bought, counted, used or thrown away.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { shelfView } from '../journal/views.js';
import { useAction, useData, useUnsavedFields } from './data-hooks.js';
import { Quantity } from './field.js';
import { ErrorBox } from './messages.js';

/** isCounted says that a type of thing is counted in pieces, not weighed. */
export const isCounted = (stockType) => ['bottle', 'bag', 'scale'].includes(stockType);

/** moves are what can happen to a thing, with the words for it. */
export const moves = {
  bought: {
    kind: Kind.stockBought,
    title: (name) => `Bought: ${name}`,
    button: () => 'Bought',
    undo: 'Bought',
  },
  counted: {
    kind: Kind.stockCounted,
    title: (name) => `How much ${name} is left`,
    button: (stockType) => (isCounted(stockType) ? 'Count it' : 'Weigh it'),
    undo: 'Amount set',
  },
  used: { kind: Kind.stockUsed, title: (name) => `Used: ${name}`, button: () => 'Used', undo: 'Used' },
  thrown: {
    kind: Kind.stockThrown,
    title: (name) => `Thrown away: ${name}`,
    button: () => 'Throw away',
    undo: 'Thrown away',
  },
};

/** useMove holds an amount and its price, and returns the body to record; field returns what is filled in, by a key. */
export function useMove(stockType, field) {
  const [amount, setAmount] = field('amount', '');
  const [reading, setReading] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [price, setPrice] = field('price', '');
  const [paid, setPaid] = useState(/** @type {any} */ ({})); // as Quantity read it
  const { value: shelf } = useData(shelfView);
  const isPriceGood = !price.trim() || paid.value >= 0;
  const body = () => ({
    amount: reading.value,
    ...(price.trim() && { price: paid.value, ...(shelf?.currency && { currency: shelf.currency }) }),
    typed: { amount: amount.trim() },
  });
  const isReady = Boolean(amount.trim()) && reading.value >= 0 && isPriceGood;
  return {
    stockType,
    amount,
    setAmount,
    setReading,
    price,
    setPrice,
    setPaid,
    currency: shelf?.currency,
    isReady,
    body,
  };
}

/** AmountFields asks for the amount and, for what was bought, its price. */
export function AmountFields({ move, label, withPrice, autofocus }) {
  const counted = isCounted(move.stockType);
  return html`<${Quantity} label=${label} kinds=${counted ? ['count'] : ['mass']} value=${move.amount}
      onInput=${move.setAmount} onRead=${move.setReading} placeholder=${counted ? '10' : '50 g'}
      autofocus=${autofocus} inputmode=${counted ? 'numeric' : undefined} />
    ${
      withPrice &&
      html`<${Quantity} label=${`Price of all of it${move.currency ? `, ${move.currency}` : ''}`} kinds=${['number']}
        value=${move.price} onInput=${move.setPrice} onRead=${move.setPaid} inputmode="decimal" placeholder="12.50"
        help="optional; used for the costs" />`
    }`;
}

/** unsavedMoveFormKey is the name under which a form about an amount is kept until it is saved. */
export const unsavedMoveFormKey = 'stock-move';

export function MoveForm({ what, stock, done }) {
  const [field] = useUnsavedFields(unsavedMoveFormKey);
  const move = useMove(stock.sort, field);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      await record([{ scope: 'shelf', subject: stock.id, kind: moves[what].kind, body: move.body() }], {
        undo: `${moves[what].undo}: ${stock.name}`,
      });
      done();
    });
  return html`<div>
    <${AmountFields} move=${move} label=${what === 'counted' ? 'Amount left' : 'How much'} autofocus
      withPrice=${what === 'bought'} />
    <${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy || !move.isReady} onClick=${save}>Save</button>
  </div>`;
}
