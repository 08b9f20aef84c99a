// Which piece is this? Untied and wet, pieces lose their labels: this finds a piece by its
// kind, fold, colours, photo and tag.
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { Chips } from './choice.js';
import { Picture } from './photos.js';
import { Dots } from './wash-tub.js';

/** WhichPiece lists the pieces of a wash day; chips leave only one kind or fold. */
export function WhichPiece({ pieces }) {
  const [kind, setKind] = useState('');
  const [fold, setFold] = useState('');
  const options = (name) =>
    [...new Set(pieces.map((p) => p[name]).filter(Boolean))].sort().map((v) => ({ value: v, words: capitalize(v) }));
  const [kinds, folds] = [options('kind'), options('fold')];
  const shown = pieces.filter((p) => (!kind || p.kind === kind) && (!fold || p.fold === fold));
  return html`<section><details><summary>Which piece is this?</summary>
    ${kinds.length > 1 && html`<${Chips} label="It is" options=${kinds} value=${kind} onChange=${setKind} />`}
    ${folds.length > 1 && html`<${Chips} label="Folded" options=${folds} value=${fold} onChange=${setFold} />`}
    <ul class="which">${shown.map(
      (p) => html`<li key=${p.bag + p.kind}><a href=${`/bag/${p.batch}/${p.bag}`}>
        ${p.photo && html`<span class="photo"><${Picture} hash=${p.photo} text=${p.kind} /></span>`}
        <span><b>Bag ${p.number}</b><span class="sub capitalized">${[p.kind, p.fold].filter(Boolean).join(', ')}</span>
          ${p.tags && html`<span class="sub">Tag ${p.tags}</span>`}</span>
        <${Dots} colours=${p.colours.slice(0, 5)} /></a></li>`,
    )}</ul></details></section>`;
}
