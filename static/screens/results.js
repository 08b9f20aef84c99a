// The wall of results: what came out, found by colour, fold, kind of piece, rating and date; and a wall to show to a
// buyer.
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
import { PhotoThumb, Picture } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';
import { ownFigures, setOwnFigures } from '../device/settings.js';
import { Swatches } from '../parts/swatch.js';

const ratings = [3, 4, 5].map((n) => ({ value: n, words: n === 5 ? '5' : `${n} or more` }));
const forBuyers = 4; // of 5, and above: what a buyer is shown; what was never rated too

/** dayStart returns the beginning of a day such as 2026-05-02, or of the day after, in ms. */
const dayStart = (date, daysLater = 0) => {
  const [year, month, day] = date.split('-').map(Number);
  return new Date(year, month - 1, day + daysLater).getTime();
};

export function Results() {
  const [query, setQuery] = useState(/** @type {any} */ ({}));
  const [dates, setDates] = useState({ from: '', to: '' }); // days as 2026-05-02
  const [isForBuyer, setForBuyer] = useState(false);
  const span = { ...(dates.from && { from: dayStart(dates.from) }), ...(dates.to && { to: dayStart(dates.to, 1) }) };
  const load = async () => resultsView({ ...query, ...span }, (await loadDesigns()).results);
  const { value: results, fault } = useLiveData(load, [JSON.stringify(query), dates]);
  const [run, ownFault, busy] = useAction();
  const set = (key) => (value) => setQuery({ ...query, [key]: value || undefined });
  if (isForBuyer) return html`<${Wall} cards=${results?.cards || []} done=${() => setForBuyer(false)} />`;
  return html`<${Screen} activeTab="batches" back=${{ href: '/batches', words: 'Batches' }} title="Results"
    sub=${results && `${results.cards.length} found`} fault=${fault || ownFault}>
    <details><summary>Find by colour, rating, date</summary>
      <${Search} query=${query} set=${set} dates=${dates} setDates=${setDates} results=${results} /></details>
    ${results?.cards.length === 0 && html`<p class="note">No opened bag matches.</p>`}
    ${
      results?.cards.some(isForBuyers) &&
      html`<p class="row spaced">
        <button type="button" class="button secondary small" onClick=${() => setForBuyer(true)}>Show to a buyer</button>
      </p>`
    }
    <ul class="wall">${results?.cards.map((c) => html`<${Card} key=${c.bag} card=${c} />`)}</ul>
    ${
      results &&
      !isHelper.value &&
      html`<${Own} list=${results.own} used=${ownFigures.value} run=${run} busy=${busy} />`
    }
  </${Screen}>`;
}

/** Search asks what to find. */
function Search({ query, set, dates, setDates, results }) {
  const { folds = [], kinds = [] } = results || {};
  const isBackwards = dates.from && dates.to && dates.to < dates.from;
  return html`<${Field} label="Colour" value=${query.colour || ''} onInput=${set('colour')}
      placeholder="rust or #b5372a" />
    <${Chips} label="Rated" options=${ratings} value=${query.rating} onChange=${set('rating')} />
    <div class="row dates">
      <${Field} label="Closed from" type="date" value=${dates.from}
        onInput=${(from) => setDates({ ...dates, from })} />
      <${Field} label="To" type="date" value=${dates.to} onInput=${(to) => setDates({ ...dates, to })}
        fault=${isBackwards && { sentence: 'this is before the first day' }} /></div>
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

const isForBuyers = ({ rating }) => !rating || rating >= forBuyers;

const photosFirst = (cards) => [...cards.filter((c) => c.photo), ...cards.filter((c) => !c.photo)];

/** Wall shows a buyer what came out well: pictures and what each piece is, without ratings. */
const Wall = ({ cards, done }) => html`<${Screen} activeTab="batches" title="Dyed by hand"
  actions=${html`<button type="button" class="button" onClick=${done}>Done</button>`}>
  <ul class="wall for-buyers">${photosFirst(cards.filter(isForBuyers)).map(
    (c) => html`<li key=${c.bag}>
      ${
        c.photo
          ? html`<${PhotoThumb} hash=${c.photo} text=${c.what} />
            <span class="sub">${c.colours.map((x) => x.name).join(', ')}</span>`
          : html`<${Swatches} colours=${c.colours} />`
      }
      <b class="capitalized">${c.what}</b></li>`,
  )}</ul>
</${Screen}>`;

/** Own shows the figures from the dyer's own results; the person chooses which of them replace the usual figures. */
const Own = ({ list, used, run, busy }) => html`<section><h2>What your own results say</h2>
  ${list.map(
    (o) => html`<div class="own-figure" key=${o.key + o.fold}><b>${o.title}</b>
      <p>${keepUnits(capitalize(o.text))} (${o.results}\u00a0${o.results === 1 ? 'result' : 'results'}).</p>
      ${o.usedText && html`<p class="sub">${capitalize(o.usedText)}.</p>`}
      ${o.key !== 'white' && html`<${UseFigure} figure=${o} run=${run} busy=${busy} />`}</div>`,
  )}
  ${
    list.some((o) => o.key === 'white') &&
    html`<${Chips} label="Use it to correct the fold pictures" value=${used.white ? 'yes' : 'no'} options=${yesNo}
      onChange=${(v) => v && setOwnFigures({ white: v === 'yes' })} />`
  }
</section>`;

const yesNo = ['yes', 'no'].map((value) => ({ value, words: value }));

/** UseFigure replaces the usual figure by the dyer's own, or restores the usual figure. */
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
