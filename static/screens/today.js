// Today: what to do now.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useEffect } from 'preact/hooks';
import { exampleMode } from '../device/example-mode.js';
import { todayView } from '../journal/views.js';
import { openExample } from '../sync/example.js';
import { isHelper } from '../sync/hub-state.js';
import { BagTags } from '../parts/bag-tag.js';
import { BatchRows } from '../parts/batch-rows.js';
import { useLiveData } from '../parts/data-hooks.js';
import { DataLossWarning } from '../parts/data-loss-warning.js';
import { Icon } from '../parts/icons.js';
import { saveLastToday } from '../parts/last-today.js';
import { LinkRow } from '../parts/link-row.js';
import { NewBatch, openNewBatch } from '../parts/new-batch.js';
import { Screen } from '../parts/screen.js';

const groupLimit = 6; // a group of more bags is split by place

export function Today() {
  const { value: view, fault } = useLiveData(todayView);
  useEffect(() => {
    if (view) saveLastToday(view);
  }, [view]);
  const bagCount = view?.groups.reduce((sum, g) => sum + g.bags.length, 0) || 0;
  const open = view?.batches.filter((b) => b.open) || [];
  const inTrouble = view?.places.filter((p) => p.inTrouble) || [];
  const calm = view?.places.filter((p) => !p.inTrouble) || [];
  const newBatch = html`<button type="button" class="button secondary" onClick=${openNewBatch}>New batch</button>`;
  return html`<${Screen} activeTab="today" title=${view ? view.headline : 'Today'} fault=${fault}
    sub=${view && capitalize(placesLine(view.places))}
    actions=${html`${!isHelper.value && newBatch}<a class="button" href="/scan"><${Icon} name="scan" />Scan a bag</a>`}>
    <${DataLossWarning} />
    ${view?.isFirst && !isHelper.value && html`<${Introduction} />`}
    ${inTrouble.map((p) => html`<${PlaceRow} key=${p.id} place=${p} />`)}
    ${view?.groups.some((g) => washGroups.includes(g.key)) && html`<${WashRow} />`}
    ${
      bagCount > 1 &&
      html`<${LinkRow} href="/bags" title="Several bags at once" sub="open, rinse, finish or move them in one go" />`
    }
    ${view?.groups.map((group) => html`<${BagGroup} key=${group.key} group=${group} />`)}
    ${open.length > 0 && html`<section><h2>Open batches</h2><${BatchRows} list=${open} /></section>`}
    ${calm.length > 0 && !view?.isFirst && html`<${Places} places=${calm} />`}
    <${NewBatch} />
  </${Screen}>`;
}

const washGroups = ['ready', 'probably', 'rinse']; // with bags that may be washed

const WashRow = () => html`<${LinkRow} href="/wash" title="Wash day"
  sub="which bags share a tub, in which order, how many baths" />`;

const placesLine = (places) =>
  places
    .slice(0, 2)
    .map((p) => `${p.name} ${p.text}`)
    .join(' · ');

const placeOf = (bag) => bag.placeName || 'no place set';

/** BagGroup shows bags under one heading; many bags are split by place. */
function BagGroup({ group }) {
  const names = [...new Set(group.bags.map(placeOf))];
  const isSplit = group.bags.length > groupLimit && names.length > 1;
  return html`<section><h2>${group.title}</h2>
    ${
      isSplit
        ? names.map(
            (name) => html`<h3 class="capitalized place-heading">${name}</h3>
              <${BagTags} bags=${group.bags.filter((b) => placeOf(b) === name)} compact />`,
          )
        : html`<${BagTags} bags=${group.bags} />`
    }
  </section>`;
}

const Places = ({ places }) =>
  html`<section><h2>Places</h2>${places.map((p) => html`<${PlaceRow} key=${p.id} place=${p} />`)}</section>`;

/** PlaceRow says how warm a place is, what its bags wait for, and what to do with those that are too cold. */
const PlaceRow = ({ place: p }) => html`<${LinkRow} href=${`/place/${p.id}`}><span><b class="capitalized">${p.name}</b>
  <span class=${p.inTrouble ? 'sub tone-care' : 'sub'}>${keepUnits(p.text)}${p.old ? ', old' : ''}</span>
  ${p.waiting && html`<span class="sub">${keepUnits(p.waiting)}</span>`}
  ${p.advice && html`<b class="sub tone-care">${capitalize(p.advice)}</b>`}</span></${LinkRow}>`;

const introduction = [
  'Start a batch: list the pieces and the colours, and the app works out the soak and the jugs.',
  'Close each bag here and put its label on. The cure time follows the temperature of the place it stands in.',
  'Come back when this page says a bag is ready to rinse. All of it works without a network.',
];

/** Introduction is shown while there is no batch. */
const Introduction = () => html`<div class="introduction">
  <ol>${introduction.map((text, i) => html`<li key=${i}><b>${i + 1}</b><span>${text}</span></li>`)}</ol>
  ${
    !exampleMode &&
    html`<button type="button" class="button secondary small" onClick=${openExample}>Look at the example</button>`
  }
</div>`;
