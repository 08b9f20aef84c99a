// One batch: the checklist in the order of the job, then its bags.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';
import { BagTags } from '../parts/bag-tag.js';
import { Swatches } from '../parts/swatch.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { ErrorBox, Notes } from '../parts/messages.js';

/** where each step is done */
const screens = { pieces: 'pieces', scour: 'pieces', colours: 'colours', soak: 'soak', jugs: 'jugs', bags: 'bagging' };

export function Batch({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [naming, name] = useState(false);
  const [run, wrong, busy] = useAction();
  const base = `/batch/${id}`;
  const next = batch?.steps.find((s) => s.now);
  const finish = () =>
    run(() =>
      record([{ scope: `batch/${id}`, subject: id, kind: Kind.batchFinished, body: {} }], {
        undo: `${batch?.name} is done`,
      }),
    );
  const all = batch && batch.open && batch.steps.every((s) => s.done);
  return html`<${Screen} here="batches" back=${{ href: '/batches', words: 'Batches' }} title=${batch?.name || 'Batch'} over=${capitalize(batch?.stageText)} fault=${fault || wrong}
    sub=${batch && capitalize([`started ${batch.started}`, batch.weight].filter(Boolean).join(' · '))}
    acts=${next && screens[next.key] ? html`<a class="act" href=${`${base}/${screens[next.key]}`}>${next.title}</a>` : all ? html`<button type="button" class="act" disabled=${busy} onClick=${finish}>All dry: the batch is done</button>` : null}>
    ${
      batch &&
      html`
      ${batch.update && html`<p class="caution">${batch.update}</p>`}
      <${Steps} batch=${batch} base=${base} />
      ${batch.colours.length > 0 && html`<section><h2>Colours</h2><${Swatches} colours=${batch.colours} /></section>`}
      ${batch.bags.length > 0 && html`<section><h2>Bags</h2><${BagTags} bags=${batch.bags} /></section>`}
      <${Notes} list=${[...batch.misfits.map((m) => m.text), batch.unknown].filter(Boolean)} />
      <section>
        <a class="link-row" href=${`${base}/labels`}><span><b>Print labels</b><span class="sub">for bags, numbered blanks, pieces, bottles, the bucket</span></span><${Icon} name="on" /></a>
        <a class="link-row" href=${`${base}/share`}><span><b>Helpers</b><span class="sub">${batch.helpers.length > 0 ? batch.helpers.map((h) => h.name || 'a phone').join(', ') : batch.shared ? 'a code is good, nobody came yet' : 'let another phone into this batch alone'}</span></span><${Icon} name="on" /></a>
        <a class="link-row" href=${`${base}/history`}><span><b>History</b><span class="sub">all that was written; take back and bring back</span></span><${Icon} name="on" /></a>
        <button type="button" class="plain" onClick=${() => name(true)}>Change the name</button>
      </section>
      <${Dialog} open=${naming} onClose=${() => name(false)} title="Name of the batch"><${Rename} batch=${batch} done=${() => name(false)} /></${Dialog}>`
    }
  </${Screen}>`;
}

/** Steps is the checklist; a step that has a screen is a link. */
const Steps = ({ batch, base }) =>
  html`<ol class="steps">${batch.steps.map((s) => {
    const inside = html`<span class="mark" aria-hidden="true">${s.done && html`<${Icon} name="tick" />`}</span>
    <span class="what"><b>${s.title}</b>${s.detail && html`<span class="sub">${keepUnits(s.detail)}</span>`}<span class="aside">${s.done ? ', done' : s.now ? ', next' : ''}</span></span>`;
    return html`<li key=${s.key} class=${s.done ? 'done' : s.now ? 'now' : ''}>${screens[s.key] ? html`<a href=${`${base}/${screens[s.key]}`}>${inside}<${Icon} name="on" /></a>` : html`<div>${inside}</div>`}</li>`;
  })}</ol>`;

function Rename({ batch, done }) {
  const [text, set] = useState(batch.name);
  const [run, fault, busy] = useAction();
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      await record(
        [{ scope: `batch/${batch.id}`, subject: batch.id, kind: Kind.batchChanged, body: { name: text.trim() } }],
        { undo: 'Name changed' },
      );
      done();
    });
  };
  return html`<form onSubmit=${save}><${Field} label="Name" value=${text} onInput=${set} /><${ErrorBox} fault=${fault} /><button class="act wide" disabled=${busy || !text.trim()}>Save the name</button></form>`;
}
