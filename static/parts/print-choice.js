// What is printed: labels of bags, numbered blanks, tags of pieces, labels of bottles
// or of the bucket.
import { maxBlanks } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { joinWords } from './label-pages.js';
import { countOf } from './hub-status.js';
import { Choice } from './choice.js';
import { Stepper } from './stepper.js';
import { Swatch } from './swatch.js';

/** PrintKindChoice asks what kind of label to print. */
export function PrintKindChoice({ batch, value, onChange }) {
  const unprinted = batch.bags.filter((b) => b.stage === 'cure' && b.toPrint).length;
  const bagDetail = countOf(unprinted, 'label to print', 'labels to print') || 'all printed';
  const options = [
    batch.bags.length > 0 && { value: 'bags', words: 'Bags', detail: bagDetail },
    { value: 'blanks', words: 'Blanks', detail: 'numbered' },
    batch.pieces.length > 0 && { value: 'tags', words: 'Piece tags', detail: 'for the wash' },
    batch.colours.length > 0 && { value: 'bottles', words: 'Bottles', detail: 'how strong' },
    { value: 'bucket', words: 'Bucket', detail: 'of soda ash' },
  ];
  return html`<${Choice} hidden label="What to print" value=${value} onChange=${onChange}
    options=${options.filter(Boolean)} />`;
}

/** Tick is a check box for one of a list by id; ticked are those that are on, by id. */
const Tick = ({ prefix, id, ticked, onTick, children }) => html`<span class="pick">
  <input type="checkbox" id=${prefix + id} checked=${Boolean(ticked[id])}
    onChange=${() => onTick({ ...ticked, [id]: !ticked[id] })} />
  <label for=${prefix + id}>${children}</label></span>`;

/** BagChoice chooses among them; ticked is those whose labels are printed, by id. */
export function BagChoice({ bags, ticked, onTick }) {
  const fresh = bags.filter((b) => b.toPrint);
  const chosen = bags.filter((b) => ticked[b.id]);
  const setTicked = (some) => onTick(Object.fromEntries(some.map((b) => [b.id, true])));
  const isChosen = (some) => some.length === chosen.length && some.every((b) => ticked[b.id]);
  const chip = (words, some) => html`<button type="button" class="chip" aria-pressed=${isChosen(some)}
    onClick=${() => setTicked(some)}>${words} ${some.length}</button>`;
  const numbers = `${chosen.length > 1 ? 'Bags' : 'Bag'} ${joinWords(chosen.map((b) => b.number))}`;
  if (bags.length === 1) return html`<p class="sub why">${capitalize(reason(bags[0]))}.</p>`;
  return html`${
    fresh.length < bags.length &&
    html`<div class="field"><div class="chips" role="group" aria-label="Which bags">
      ${fresh.length > 0 && chip('To print:', fresh)}${chip('All', bags)}</div></div>`
  }
    <details><summary>${chosen.length ? numbers : 'Choose the bags'}</summary>
      <div class="picks one">${bags.map(
        (b) => html`<${Tick} key=${b.id} prefix="l" id=${b.id} ticked=${ticked} onTick=${onTick}>
          Bag ${b.number}<small class="capitalized">${reason(b)}</small></${Tick}>`,
      )}</div></details>`;
}

const reason = (b) => b.toPrint || (b.printed ? `printed ${b.printed.when}` : 'a blank hangs on it');

const maxListed = 3; // printings before one asks for all

/** BlankChoice asks how many, and lists what was printed before; onAgain prints one of those again. */
export function BlankChoice({ tags, pieces, piece, onPiece, count, onCount, printings, again, onAgain }) {
  const [all, showAll] = useState(false);
  const shown = printings?.filter((p, i) => all || i < maxListed || again === p.id) || [];
  const isAgain = (p) => again === p.id;
  return html`${
    tags &&
    pieces.length > 1 &&
    html`<${Choice} label="Of which piece" value=${piece} onChange=${onPiece}
      options=${pieces.map((p) => ({ value: p.id, words: p.words }))} />`
  }
    ${
      !again &&
      html`<${Stepper} label="How many" value=${count} onChange=${onCount} min=${1} max=${maxBlanks}
        least="one less" most="one more" />`
    }
    ${
      printings?.length > 0 &&
      html`<section class="close"><h2>Printed before</h2>${shown.map(
        (p) => html`<${PrintingRow} key=${p.id} printing=${p} tags=${tags} again=${isAgain(p)}
          onClick=${() => onAgain(isAgain(p) ? '' : p.id)} />`,
      )}
      ${
        shown.length < printings.length &&
        html`<button type="button" class="plain" onClick=${() => showAll(true)}>All ${printings.length}</button>`
      }</section>`
    }`;
}

/** PrintingRow is an earlier printing: its numbers, when it was, and how many of them are on bags. */
function PrintingRow({ printing: p, tags, again, onClick }) {
  const tied = p.tied ? `${p.tied} of ${p.count} attached` : 'none attached yet';
  const sub = [tags && p.what, p.when, !tags && tied].filter(Boolean).join(' · ');
  return html`<button type="button" class="link-row" aria-current=${again ? 'true' : undefined} onClick=${onClick}>
    <span><b>${numberSpan(p)}</b><span class="sub">${capitalize(sub)}</span></span>
    <span class="change">${again ? 'Don’t reprint' : 'Print again'}</span></button>`;
}

/** numberSpan says the numbers of a printing. */
export const numberSpan = ({ from, to }) => (from === to ? from : `${from}–${to}`);

/** BottleChoice chooses colours, and how many of each; onTick gets those that are on, by id. */
export const BottleChoice = ({ colours, ticked, onTick, copies, onCopies }) => html`
  ${
    colours.length > 1 &&
    html`<div class="palette field">${colours.map(
      (c) => html`<${Tick} key=${c.id} prefix="c" id=${c.id} ticked=${ticked} onTick=${onTick}>
        <${Swatch} colour=${c} /></${Tick}>`,
    )}</div>`
  }
  <${Stepper} label="Bottles of each colour" value=${copies} onChange=${onCopies} min=${1} max=${40}
    least="one less" most="one more" />`;
