// Plan: all that a batch needs, on one page. Every figure comes from the core.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { coreEnv } from '../journal/env.js';
import { record } from '../journal/journal.js';
import { planView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { Cautions, ErrorBox, Notes, Sources } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { Lines } from '../parts/shopping-list.js';
import { Cloth } from '../parts/swatch.js';

export function Plan({ id }) {
  const { value: plan, fault } = useLiveData(() => planView(id), [id]);
  const base = `/batch/${id}`;
  const back = { href: base, words: plan?.name || 'Batch' };
  const frame = { activeTab: 'batches', title: 'Plan', back, fault };
  if (!plan) return html`<${Screen} ...${frame} />`;
  const next = plan.pieces ? ['colours', 'Change the colours'] : ['pieces', 'List the pieces'];
  return html`<${Screen} ...${frame} sub=${plan.pieces || 'No pieces yet.'}
    actions=${html`<a class="button" href=${`${base}/${next[0]}`}>${next[1]}</a>`}>
    ${plan.pieces && html`<${LinkRow} href=${`${base}/pieces`} title="Change the pieces" />`}
    <${Notes} list=${plan.notes} />
    ${plan.jugs.length > 0 && html`<${DyePlan} plan=${plan} base=${base} />`}
    ${plan.rows.length > 0 && html`<section><h2>Also needed</h2><${Rows} rows=${plan.rows} /></section>`}
    <${Shortages} plan=${plan} />
    ${plan.times.steps.length > 0 && html`<${Times} batch=${id} times=${plan.times} />`}
    <${Cost} plan=${plan} />
    <${Sources} list=${plan.sources} />
  </${Screen}>`;
}

/** DyePlan lists the jugs: what each takes, and what the shelf lacks for it. */
const DyePlan = ({ plan, base }) => html`<section><h2>Dye</h2>
  ${plan.dyeTotal && html`<p class="sub">${capitalize(plan.dyeTotal)}</p>`}
  ${plan.jugs.map(
    (j) => html`<${LinkRow} key=${j.colour.id} href=${`${base}/colours`}>
      <span class="inline-group"><span class="swatch little"><${Cloth} rgb=${j.colour.rgb} /></span><span>
        <b>${capitalize(j.colour.name)}: ${keepUnits(j.mixed || `${j.powder} in ${j.volume}`)}</b>
        <span class="sub">${[j.mixed && 'mixed', !j.mixed && j.bottles].filter(Boolean).join(' · ')}</span>
        <span class="sub">${keepUnits([j.worn, j.need].filter(Boolean).join('; '))}</span>
        ${(j.lacks || j.note) && html`<span class="sub waiting">${capitalize(j.lacks || j.note)}</span>`}
      </span></span></${LinkRow}>`,
  )}
</section>`;

const Rows = ({ rows }) =>
  html`<dl class="figures plan-rows">${rows.map(
    (r) => html`<dt key=${r.key}>${r.title}</dt>
      <dd>${keepUnits(r.text)}${r.detail && html`<small>${r.detail}</small>`}</dd>`,
  )}</dl>`;

const Shortages = ({ plan }) => html`
  ${plan.lacks.length > 0 && html`<section><h2>Not enough on the shelf</h2><${Lines} list=${plan.lacks} /></section>`}
  ${
    !isHelper.value &&
    plan.unknown.length > 0 &&
    html`<section><h2>Check if there is enough</h2><${Lines} list=${plan.unknown} />
      <${LinkRow} href="/shelf" title="Open the shelf"
        sub="enter how much you have; share the shopping list" /></section>`
  }`;

/** Times shows how long the steps take, when each place has the bags ready, and when to begin. */
const Times = ({ batch, times }) => html`<section><h2>Time</h2>
  <table class="times">
    <thead><tr><th scope="col">Step</th><th scope="col">Alone</th><th scope="col">Two people</th></tr></thead>
    <tbody>${times.steps.map(
      (s) => html`<tr key=${s.key}><th scope="row">${s.title}</th><td>${s.one}</td><td>${s.two}</td></tr>`,
    )}</tbody></table>
  ${times.one && html`<p class="sub">Until the bags are closed: ${times.one} alone, ${times.two} with two people.</p>`}
  <${RinseTime} batch=${batch} times=${times} />
  ${times.closing && html`<h3>Ready</h3><p class="sub">${capitalize(times.closing)}.</p>`}
  ${times.places.map(
    (p) => html`<div class="outlook" key=${p.name}><b>${capitalize(p.name)}</b>
      <span>${keepUnits([capitalize(p.ready), p.safe].filter(Boolean).join(', '))}</span>
      ${p.start && html`<span class=${p.inTime ? 'tone-done' : 'tone-care'}>${capitalize(p.start)}</span>`}</div>`,
  )}
  <${Notes} list=${times.note ? [times.note] : []} />
</section>`;

/** RinseTime asks when the bags are to be rinsed; the core then says when to begin. */
function RinseTime({ batch, times }) {
  const [edited, setEdited] = useState(/** @type {string | null} */ (null));
  const [run, fault, busy] = useAction();
  const typed = edited ?? times.typed ?? '';
  const save = () =>
    run(async () => {
      const { at } = await call('rinse.parse', { typed, env: await coreEnv() });
      await record([{ scope: `batch/${batch}`, subject: batch, kind: Kind.batchChanged, body: { rinse: at } }], {
        undo: 'Rinse time set',
      });
      setEdited(null);
    });
  return html`<div class="field"><label for="rinse-at">I want to rinse at</label>
    <input id="rinse-at" type="datetime-local" value=${typed} onInput=${(e) => setEdited(e.target.value)} />
    ${
      edited &&
      edited !== times.typed &&
      html`<button type="button" class="button secondary small wide" disabled=${busy} onClick=${save}>Save</button>`
    }
    <${ErrorBox} fault=${fault} /></div>`;
}

const Cost = ({ plan: { cost, costNote, cautions } }) => html`<section><h2>Cost</h2>
  ${
    cost
      ? html`<dl class="figures"><dt>Per piece</dt><dd>${cost.each}</dd><dt>Whole batch</dt><dd>${cost.all}</dd>
          ${cost.price && html`<dt>Price for one</dt><dd>${cost.price}</dd>`}</dl>
          <details><summary>Cost breakdown</summary><${Lines} list=${cost.lines} /></details>
          <${Notes} list=${cost.incomplete ? [cost.incomplete] : []} />
          ${cost.price && html`<${Cautions} list=${cautions} />`}`
      : html`<p class="sub">${capitalize(costNote || '')}</p>`
  }
</section>`;
