// The wall of results: what came out, found by colour, fold, kind of piece, rating and date.
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { resultsView } from '../journal/views.js';
import { Chips } from '../parts/choice.js';
import { useLiveData } from '../parts/data-hooks.js';
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
  const { value: results, fault } = useLiveData(() => resultsView(asked), [JSON.stringify(query), age]);
  const set = (key) => (value) => setQuery({ ...query, [key]: value || undefined });
  return html`<${Screen} activeTab="batches" back=${{ href: '/batches', words: 'Batches' }} title="Results"
    sub=${results && `${results.cards.length} found`} fault=${fault}>
    <details><summary>Find by colour, rating, date</summary>
      <${Search} query=${query} set=${set} age=${age} setAge=${setAge} results=${results} /></details>
    ${results?.cards.length === 0 && html`<p class="note">No opened bag matches.</p>`}
    <ul class="wall">${results?.cards.map((c) => html`<${Card} key=${c.bag} card=${c} />`)}</ul>
    ${results && html`<${Own} list=${results.own} />`}
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

/** Own is what the dyer's own results say; it can be switched off. */
const Own = ({ list }) => html`<section><h2>What your own results say</h2>
  <button type="button" class="text-button" aria-pressed=${ownFigures.value.shown}
    onClick=${() => setOwnFigures({ shown: !ownFigures.value.shown })}>
    ${ownFigures.value.shown ? 'Hide' : 'Show'}</button>
  ${
    ownFigures.value.shown &&
    (list.length === 0
      ? html`<p class="note">Not enough rated results yet: each figure needs at least 3.</p>`
      : list.map((o) => html`<p class="note" key=${o.key}>${capitalize(o.text)} (${o.results} results).</p>`))
  }
</section>`;
