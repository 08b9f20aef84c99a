// Shelf: what is in the house, what to buy, and the places where bags stand.
import { html, capitalize } from '../parts/html.js';
import { navigate } from '../device/router.js';
import { placeViews, shelfView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { useLiveData, useUnsavedSheet } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { LinkRow } from '../parts/link-row.js';
import { PlaceNameForm } from '../parts/place-name-form.js';
import { Screen } from '../parts/screen.js';
import { ShoppingList } from '../parts/shopping-list.js';
import { StockForm, unsavedStockFormKey, stockTypes } from '../parts/stock-form.js';
import { SumsForm } from '../parts/sums-form.js';
import { Cloth } from '../parts/swatch.js';

const load = async () => ({ places: await placeViews(), shelf: isHelper.value ? null : await shelfView() });

export function Shelf() {
  const { value, fault } = useLiveData(load);
  // The sheet that is open, {pick}, {stockType}, {place} or {sums}; it comes back after a reload.
  const [open, setOpen, close] = useUnsavedSheet('shelf', unsavedStockFormKey, /** @type {any} */ (null));
  const { places, shelf } = value || {};
  const pick = () => setOpen({ pick: true });
  const add = html`<button type="button" class="button" onClick=${pick}>Add to the shelf</button>`;
  const isEmpty = shelf && shelf.groups.length === 0;
  return html`<${Screen} activeTab="shelf" title="Shelf" fault=${fault} actions=${!isHelper.value && add}
    sub=${isEmpty && 'Add what you have. What a batch uses is subtracted automatically.'}>
    ${shelf && html`<${ShoppingList} shelf=${shelf} />`}
    ${shelf?.groups.map(
      (g) => html`<section key=${g.key}><h2>${g.title}</h2>
          ${g.items.map((s) => html`<${StockRow} key=${s.id} stock=${s} />`)}</section>`,
    )}
    ${shelf && html`<section><${LinkRow} href="/fold" title="Fold" sub="see it before you dye it" /></section>`}
    ${value && html`<${Places} places=${places} onAdd=${() => setOpen({ place: true })} />`}
    ${
      shelf &&
      html`<section><h2>Water and money</h2><${LinkRow} title="Edit" onClick=${() => setOpen({ sums: true })}
        sub=${shelf.sumsText || 'water hardness, currency, hourly rate'} /></section>`
    }
    <${Dialog} open=${Boolean(open)} onClose=${close} title=${open && titleOf(open)}>
      ${open?.pick && html`<${StockTypeTiles} onPick=${(stockType) => setOpen({ stockType })} />`}
      ${open?.stockType && html`<${StockForm} stockType=${open.stockType} done=${close} />`}
      ${open?.place && html`<${PlaceNameForm} autofocus onAdd=${(id) => navigate(`/place/${id}`)} />`}
      ${open?.sums && html`<${SumsForm} shelf=${shelf} done=${close} />`}
    </${Dialog}>
  </${Screen}>`;
}

function titleOf({ pick, stockType, place }) {
  if (pick) return 'What is it?';
  if (stockType) return capitalize(stockTypes.find((s) => s.stockType === stockType)?.words || '');
  return place ? 'New place' : 'Water and money';
}

const StockTypeTiles = ({ onPick }) =>
  html`<div class="options">${stockTypes.map(
    (s) => html`<button type="button" class="tile" key=${s.stockType} onClick=${() => onPick(s.stockType)}>
    <span class="capitalized">${s.words}</span></button>`,
  )}</div>`;

/** StockRow shows one thing with its amount, marked when it runs low. */
const StockRow = ({ stock }) => html`<${LinkRow} href=${`/stock/${stock.id}`}>
  <span class="inline-group">${stock.rgb && html`<span class="swatch little"><${Cloth} rgb=${stock.rgb} /></span>`}
    <span><b class="capitalized">${stock.name}</b>
      ${stock.facts && html`<span class="sub">${stock.facts}</span>`}
      ${stock.notes.map((n) => html`<span class="sub waiting" key=${n}>${capitalize(n)}</span>`)}</span></span>
  <span class="amount">${stock.amount || '?'}${stock.low && html`<small>low</small>`}</span>
</${LinkRow}>`;

const Places = ({ places, onAdd }) => html`<section><h2>Places</h2>
  ${
    places.length === 0 &&
    html`<p class="sub">${isHelper.value && 'No bag of this batch has a place yet. '}
      A place is where bags stand: a shed, a kitchen, a warm cupboard. Its temperature decides when they are ready.</p>`
  }
  ${places.map(
    (p) => html`<${LinkRow} key=${p.id} href=${`/place/${p.id}`} title=${p.name}
      sub=${[p.text, p.usual].filter(Boolean).join(' · ')} />`,
  )}
  ${!isHelper.value && html`<button type="button" class="button secondary small" onClick=${onAdd}>New place</button>`}
</section>`;
