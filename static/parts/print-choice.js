// Asks what to print: labels for bags, numbered blanks, tags for pieces, labels for bottles or the
// bucket.
import { maxBlanks } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { joinWords } from './label-pages.js';
import { countText } from './hub-status.js';
import { Choice } from './choice.js';
import { Stepper } from './stepper.js';
import { Swatch } from './swatch.js';

/** PrintKindChoice asks what kind of label to print. */
export function PrintKindChoice({ batch, value, onChange }) {
  const unprinted = batch.bags.filter((b) => b.stage === 'cure' && b.toPrint).length;
  const bagDetail = countText(unprinted, 'label to print', 'labels to print') || 'all printed';
  const options = [
    batch.bags.length > 0 && { value: 'bags', words: 'Bags', detail: bagDetail },
    { value: 'blanks', words: 'Blanks', detail: 'numbered' },
    batch.pieces.length > 0 && { value: 'tags', words: 'Piece tags', detail: 'for the wash' },
    batch.colours.length > 0 && { value: 'bottles', words: 'Bottles', detail: 'how strong' },
    { value: 'bucket', words: 'Bucket', detail: 'of soda ash' },
  ];
  return html`<${Choice} hideLabel label="What to print" value=${value} onChange=${onChange}
    options=${options.filter(Boolean)} />`;
}

/** CheckBox is a check box for one item of a list; ticked has the ids of the checked items. */
const CheckBox = ({ prefix, id, ticked, onTick, children }) => html`<span class="option">
  <input type="checkbox" id=${prefix + id} checked=${Boolean(ticked[id])}
    onChange=${() => onTick({ ...ticked, [id]: !ticked[id] })} />
  <label for=${prefix + id}>${children}</label></span>`;

/** BagChoice chooses among bags; ticked has the ids of those whose labels to print. */
export function BagChoice({ bags, ticked, onTick }) {
  const unprinted = bags.filter((b) => b.toPrint);
  const chosen = bags.filter((b) => ticked[b.id]);
  const setTicked = (subset) => onTick(Object.fromEntries(subset.map((b) => [b.id, true])));
  const isChosen = (subset) => subset.length === chosen.length && subset.every((b) => ticked[b.id]);
  const renderChip = (words, subset) => html`<button type="button" class="chip" aria-pressed=${isChosen(subset)}
    onClick=${() => setTicked(subset)}>${words} ${subset.length}</button>`;
  const numbers = `${chosen.length > 1 ? 'Bags' : 'Bag'} ${joinWords(chosen.map((b) => b.number))}`;
  if (bags.length === 1) return html`<p class="sub">${capitalize(printReason(bags[0]))}.</p>`;
  return html`${
    unprinted.length < bags.length &&
    html`<div class="field"><div class="chips" role="group" aria-label="Which bags">
      ${unprinted.length > 0 && renderChip('To print:', unprinted)}${renderChip('All', bags)}</div></div>`
  }
    <details><summary>${chosen.length ? numbers : 'Choose the bags'}</summary>
      <div class="options one-column">${bags.map(
        (b) => html`<${CheckBox} key=${b.id} prefix="l" id=${b.id} ticked=${ticked} onTick=${onTick}>
          Bag ${b.number}<small class="capitalized">${printReason(b)}</small></${CheckBox}>`,
      )}</div></details>`;
}

const printReason = (b) => b.toPrint || (b.printed ? `printed ${b.printed.when}` : 'a blank is attached');

const maxListed = 3; // printings shown at first

/** BlankChoice asks how many to print, and lists earlier printings; onReprint selects one to print again. */
export function BlankChoice({ tags, pieces, piece, onPiece, count, onCount, printings, reprintId, onReprint }) {
  const [showsAll, setShowsAll] = useState(false);
  const shown = printings?.filter((p, i) => showsAll || i < maxListed || reprintId === p.id) || [];
  const isReprint = (p) => reprintId === p.id;
  return html`${
    tags &&
    pieces.length > 1 &&
    html`<${Choice} label="For which piece" value=${piece} onChange=${onPiece}
      options=${pieces.map((p) => ({ value: p.id, words: p.words }))} />`
  }
    ${
      !reprintId &&
      html`<${Stepper} label="How many" value=${count} onChange=${onCount} min=${1} max=${maxBlanks}
        lessLabel="one less" moreLabel="one more" />`
    }
    ${
      printings?.length > 0 &&
      html`<section class="compact"><h2>Printed before</h2>${shown.map(
        (p) => html`<${PrintingRow} key=${p.id} printing=${p} tags=${tags} isReprint=${isReprint(p)}
          onClick=${() => onReprint(isReprint(p) ? '' : p.id)} />`,
      )}
      ${
        shown.length < printings.length &&
        html`<button type="button" class="text-button"
          onClick=${() => setShowsAll(true)}>All ${printings.length}</button>`
      }</section>`
    }`;
}

/** PrintingRow is an earlier printing: its numbers, when it was, and how many of them are on bags. */
function PrintingRow({ printing: p, tags, isReprint, onClick }) {
  const attachedText = p.attachedCount ? `${p.attachedCount} of ${p.count} attached` : 'none attached yet';
  const sub = [tags && p.what, p.when, !tags && attachedText].filter(Boolean).join(' · ');
  return html`<button type="button" class="link-row" aria-current=${isReprint ? 'true' : undefined} onClick=${onClick}>
    <span><b>${numberRangeText(p)}</b><span class="sub">${capitalize(sub)}</span></span>
    <span class="change-link">${isReprint ? 'Don’t reprint' : 'Print again'}</span></button>`;
}

/** numberRangeText formats the numbers of a print job: "7–14". */
export const numberRangeText = ({ from, to }) => (from === to ? from : `${from}–${to}`);

/** BottleChoice chooses colours, and the number of bottles of each; onTick gets the checked ones, by id. */
export const BottleChoice = ({ colours, ticked, onTick, copies, onCopies }) => html`
  ${
    colours.length > 1 &&
    html`<div class="palette field">${colours.map(
      (c) => html`<${CheckBox} key=${c.id} prefix="c" id=${c.id} ticked=${ticked} onTick=${onTick}>
        <${Swatch} colour=${c} /></${CheckBox}>`,
    )}</div>`
  }
  <${Stepper} label="Bottles of each colour" value=${copies} onChange=${onCopies} min=${1} max=${40}
    lessLabel="one less" moreLabel="one more" />`;
