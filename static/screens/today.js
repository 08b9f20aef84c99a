// Today: what needs a hand now.
import { html, capitalize } from '../parts/html.js';
import { todayView } from '../journal/views.js';
import { openExample } from '../sync/example.js';
import { exampleMode } from '../device/example-mode.js';
import { isHelper } from '../sync/hub-state.js';
import { useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';
import { BagTags } from '../parts/bag-tag.js';
import { BatchRows } from '../parts/batch-rows.js';
import { NewBatch, openNewBatch } from '../parts/new-batch.js';
import { DataLossWarning } from '../parts/data-loss-warning.js';

const many = 6; // bags in one group from which they are laid out by place

export function Today() {
  const { value: day, fault } = useLiveData(todayView);
  const empty = day && day.batches.length === 0;
  return html`<${Screen} here="today" title=${day ? day.headline : 'Today'} fault=${fault} sub=${day && capitalize(placesLine(day.places))}
    acts=${html`${!isHelper.value && html`<button type="button" class="act two" onClick=${openNewBatch}>New batch</button>`}<a class="act" href="/scan"><${Icon} name="scan" />Scan a bag</a>`}>
    <${DataLossWarning} />
    ${empty && !isHelper.value && html`<${Lesson} />`}
    ${day && day.groups.map((g) => html`<${Group} key=${g.key} group=${g} />`)}
    ${day && day.batches.length > 0 && html`<section><h2>Open batches</h2><${BatchRows} list=${day.batches.filter((b) => b.open)} /></section>`}
    ${day && day.places.length > 0 && !empty && html`<section><h2>Places</h2>${day.places.map((p) => html`<a class="link-row" href=${`/place/${p.id}`} key=${p.id}><span><b class="first">${p.name}</b><span class="sub">${p.text}${p.old ? ', old' : ''}</span></span><${Icon} name="on" /></a>`)}</section>`}
    <${NewBatch} />
  </${Screen}>`;
}

const placesLine = (places) =>
  places
    .slice(0, 2)
    .map((p) => `${p.name} ${p.text}`)
    .join(' · ');

/** Group is bags under one heading; many of them are laid out by where they stand. */
function Group({ group }) {
  const names = [...new Set(group.bags.map((b) => b.placeName || 'no place said'))];
  const split = group.bags.length > many && names.length > 1;
  return html`<section><h2>${group.title}</h2>
    ${split ? names.map((n) => html`<h3 class="first spot">${n}</h3><${BagTags} bags=${group.bags.filter((b) => (b.placeName || 'no place said') === n)} />`) : html`<${BagTags} bags=${group.bags} />`}
  </section>`;
}

/** Lesson is the empty first screen. */
const Lesson = () => html`<div class="lesson">
  <ol>
    <li><b>1</b><span>Start a batch: list the pieces and the colours, and the sums for soak and jugs are done.</span></li>
    <li><b>2</b><span>Close each bag here and tie its label on. The cure is reckoned from the warmth of the place it stands in.</span></li>
    <li><b>3</b><span>Come back when this page says a bag is ready to rinse. All of it works without a network.</span></li>
  </ol>
  ${!exampleMode && html`<button type="button" class="act two small" onClick=${openExample}>Look at the example</button>`}
</div>`;
