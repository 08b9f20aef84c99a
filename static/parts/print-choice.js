// PrintKindChoice is printed: labels of bags, numbered blanks, tags of pieces, labels of bottles
// or of the bucket.
import { maxBlanks } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { joinWords } from './label-pages.js';
import { countOf } from './hub-status.js';
import { Choice } from './choice.js';
import { Stepper } from './stepper.js';
import { Swatch } from './swatch.js';

/** PrintKindChoice is the first choice. */
export const PrintKindChoice = ({ batch, value, onChange }) =>
  html`<${Choice} hidden label="What to print" value=${value} onChange=${onChange} options=${[
    batch.bags.length > 0 && {
      value: 'bags',
      words: 'Bags',
      detail:
        countOf(
          batch.bags.filter((b) => b.stage === 'cure' && b.toPrint).length,
          'label to print',
          'labels to print',
        ) || 'all printed',
    },
    { value: 'blanks', words: 'Blanks', detail: 'numbered' },
    batch.pieces.length > 0 && { value: 'tags', words: 'Piece tags', detail: 'for the wash' },
    batch.colours.length > 0 && { value: 'bottles', words: 'Bottles', detail: 'how strong' },
    { value: 'bucket', words: 'Bucket', detail: 'of soda ash' },
  ].filter(Boolean)} />`;

/** BagChoice chooses among them; ticked is those whose labels are printed, by id. */
export function BagChoice({ bags, ticked, onTick }) {
  const fresh = bags.filter((b) => b.toPrint),
    chosen = bags.filter((b) => ticked[b.id]);
  const set = (some) => onTick(Object.fromEntries(some.map((b) => [b.id, true])));
  const is = (some) => some.length === chosen.length && some.every((b) => ticked[b.id]);
  if (bags.length === 1) return html`<p class="sub why">${capitalize(reason(bags[0]))}.</p>`;
  return html`${
    fresh.length < bags.length &&
    html`<div class="field"><div class="chips" role="group" aria-label="Which bags">
      ${fresh.length > 0 && html`<button type="button" class="chip" aria-pressed=${is(fresh)} onClick=${() => set(fresh)}>To print: ${fresh.length}</button>`}
      <button type="button" class="chip" aria-pressed=${is(bags)} onClick=${() => set(bags)}>All ${bags.length}</button></div></div>`
  }
    <details><summary>${chosen.length ? `${chosen.length > 1 ? 'Bags' : 'Bag'} ${joinWords(chosen.map((b) => b.number))}` : 'Choose the bags'}</summary>
      <div class="picks one">${bags.map(
        (
          b,
        ) => html`<span class="pick" key=${b.id}><input type="checkbox" id=${'l' + b.id} checked=${Boolean(ticked[b.id])} onChange=${() => onTick({ ...ticked, [b.id]: !ticked[b.id] })} />
        <label for=${'l' + b.id}>Bag ${b.number}<small class="first">${reason(b)}</small></label></span>`,
      )}</div></details>`;
}

const reason = (b) => b.toPrint || (b.printed ? `printed ${b.printed.when}` : 'a blank hangs on it');

const few = 3; // printings before one asks for all

/** BlankChoice asks how many, and lists what was printed before; onAgain prints one of those again. */
export function BlankChoice({ tags, pieces, piece, onPiece, count, onCount, printings, again, onAgain }) {
  const [all, showAll] = useState(false);
  const shown = printings?.filter((p, i) => all || i < few || again === p.id) || [];
  return html`${tags && pieces.length > 1 && html`<${Choice} label="Of which piece" value=${piece} onChange=${onPiece} options=${pieces.map((p) => ({ value: p.id, words: p.words }))} />`}
    ${!again && html`<${Stepper} label="How many" value=${count} onChange=${onCount} min=${1} max=${maxBlanks} least="one less" most="one more" />`}
    ${
      printings?.length > 0 &&
      html`<section class="close"><h2>Printed before</h2>${shown.map(
        (
          p,
        ) => html`<button type="button" class="link-row" key=${p.id} aria-current=${again === p.id ? 'true' : undefined} onClick=${() => onAgain(again === p.id ? '' : p.id)}>
      <span><b>${numberSpan(p)}</b><span class="sub">${capitalize([tags && p.what, p.when, !tags && (p.tied ? `${p.tied} of ${p.count} tied on` : 'none tied on yet')].filter(Boolean).join(' · '))}</span></span>
      <span class="change">${again === p.id ? 'Not again' : 'Print again'}</span></button>`,
      )}
      ${shown.length < printings.length && html`<button type="button" class="plain" onClick=${() => showAll(true)}>All ${printings.length}</button>`}</section>`
    }`;
}

/** numberSpan says the numbers of a printing. */
export const numberSpan = ({ from, to }) => (from === to ? from : `${from}–${to}`);

/** BottleChoice chooses colours, and how many of each; onTick gets those that are on, by id. */
export const BottleChoice = ({ colours, ticked, onTick, copies, onCopies }) => html`
  ${colours.length > 1 && html`<div class="palette field">${colours.map((c) => html`<span class="pick" key=${c.id}><input type="checkbox" id=${'c' + c.id} checked=${Boolean(ticked[c.id])} onChange=${() => onTick({ ...ticked, [c.id]: !ticked[c.id] })} /><label for=${'c' + c.id}><${Swatch} colour=${c} /></label></span>`)}</div>`}
  <${Stepper} label="Bottles of each colour" value=${copies} onChange=${onCopies} min=${1} max=${40} least="one less" most="one more" />`;
