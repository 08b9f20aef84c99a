// The wall of results: what came out, found by colour, fold, kind of piece, rating and date.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { loadDesigns } from '../fold/designs.js';
import { record } from '../journal/journal.js';
import { resultsView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { Chips } from '../parts/choice.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Field } from '../parts/field.js';
import { Picture } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';
import { ownFigures, setOwnFigures } from '../device/settings.js';
import { Swatches } from '../parts/swatch.js';

const ratings = [3, 4, 5].map((n) => ({ value: n, words: n === 5 ? '5' : `${n} or more` }));
const day = 86400e3; // ms
const ages = [30, 90, 365].map((n) => ({ value: n, words: n === 365 ? 'a year' : `${n} days` }));

export function Results() {
  const [query, setQuery] = useState(/** @type {any} */ ({}));
  const [age, setAge] = useState(/** @type {number | ''} */ (''));
  const asked = { ...query, ...(age && { from: Date.now() - age * day }) };
  const load = async () => resultsView(asked, (await loadDesigns()).results);
  const { value: results, fault } = useLiveData(load, [JSON.stringify(query), age]);
  const [run, ownFault, busy] = useAction();
  const set = (key) => (value) => setQuery({ ...query, [key]: value || undefined });
  return html`<${Screen} activeTab="batches" back=${{ href: '/batches', words: 'Batches' }} title="Results"
    sub=${results && `${results.cards.length} found`} fault=${fault || ownFault}>
    <details><summary>Find by colour, rating, date</summary>
      <${Search} query=${query} set=${set} age=${age} setAge=${setAge} results=${results} /></details>
    ${results?.cards.length === 0 && html`<p class="note">No opened bag matches.</p>`}
    <ul class="wall">${results?.cards.map((c) => html`<${Card} key=${c.bag} card=${c} />`)}</ul>
    ${
      results &&
      !isHelper.value &&
      html`<${Own} list=${results.own} used=${ownFigures.value} run=${run} busy=${busy} />`
    }
  </${Screen}>`;
}

/** Search asks what to find. */
function Search({ query, set, age, setAge, results }) {
  const { folds = [], kinds = [] } = results || {};
  return html`<${Field} label="Colour" value=${query.colour || ''} onInput=${set('colour')}
      placeholder="rust or #b5372a" />
    <${Chips} label="Rated" options=${ratings} value=${query.rating} onChange=${set('rating')} />
    <${Chips} label="In the last" options=${ages} value=${age} onChange=${setAge} />
    ${
      folds.length > 1 &&
      html`<${Chips} label="Fold" value=${query.fold} onChange=${set('fold')}
        options=${folds.map((f) => ({ value: f.fold, words: f.words }))} />`
    }
    ${
      kinds.length > 1 &&
      html`<${Chips} label="Piece" value=${query.kind} onChange=${set('kind')}
        options=${kinds.map((k) => ({ value: k.kind, words: k.words }))} />`
    }`;
}

const ratedWords = ({ rating }) => (rating ? `${rating} of 5` : '');

const Card = ({ card }) => html`<li><a href=${`/bag/${card.batch}/${card.bag}/result`}>
  ${card.photo ? html`<${Picture} hash=${card.photo} text="" />` : html`<${Swatches} colours=${card.colours} />`}
  <b class="capitalized">${card.what}</b>
  <span class="sub">${[ratedWords(card), card.batchName, card.when].filter(Boolean).join(' · ')}</span>
</a></li>`;

/** Own is what the dyer's own results say in the place of usual figures; each is used or not, as the person chooses. */
const Own = ({ list, used, run, busy }) => html`<section><h2>What your own results say</h2>
  ${list.map(
    (o) => html`<div class="own-figure" key=${o.key + o.fold}><b>${o.title}</b>
      <p>${keepUnits(capitalize(o.text))} (${o.results}\u00a0${o.results === 1 ? 'result' : 'results'}).</p>
      ${o.usedText && html`<p class="sub">${capitalize(o.usedText)}.</p>`}
      ${o.key !== 'white' && html`<${UseFigure} figure=${o} run=${run} busy=${busy} />`}</div>`,
  )}
  ${
    list.some((o) => o.key === 'white') &&
    html`<${Chips} label="Correct the pictures of folds by it" value=${used.white ? 'yes' : 'no'} options=${yesNo}
      onChange=${(v) => v && setOwnFigures({ white: v === 'yes' })} />`
  }
</section>`;

const yesNo = ['yes', 'no'].map((value) => ({ value, words: value }));

/** UseFigure puts a figure in the place of the usual one, or the usual one back. */
function UseFigure({ figure: o, run, busy }) {
  const set = (body, undo) =>
    run(() => record([{ scope: 'shelf', kind: Kind.sumsSet, body: { [o.key]: body } }], { undo }));
  const use = () => set({ value: o.value, results: o.results }, `${o.title}: your own figure is used`);
  const stop = () => set({ value: 0, results: 0 }, `${o.title}: the usual figure is used`);
  const isNew = o.used !== o.value;
  return html`<div class="row">
    ${
      o.enough &&
      isNew &&
      html`<button type="button" class="button secondary small" disabled=${busy} onClick=${use}
        aria-label=${`${o.title}: use my own figure`}>${o.used ? 'Use the new figure' : 'Use it'}</button>`
    }
    ${
      o.used > 0 &&
      html`<button type="button" class="text-button" disabled=${busy} onClick=${stop}
        aria-label=${`${o.title}: use the usual figure`}>Use the usual figure</button>`
    }
    ${o.rule && html`<details><summary>How this is worked out</summary><p>${capitalize(o.rule)}.</p></details>`}
  </div>`;
}
