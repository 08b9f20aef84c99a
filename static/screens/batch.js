// One batch: the checklist in the order of the job, then its bags.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { AlarmForm } from '../parts/alarm-form.js';
import { BagTags } from '../parts/bag-tag.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { EndBatch } from '../parts/end-batch.js';
import { Icon } from '../parts/icons.js';
import { LinkRow } from '../parts/link-row.js';
import { Notes } from '../parts/messages.js';
import { RenameForm } from '../parts/rename-form.js';
import { Screen } from '../parts/screen.js';
import { Swatches } from '../parts/swatch.js';

/** stepScreens has the screen for each step of the checklist. */
const stepScreens = {
  pieces: 'pieces',
  scour: 'pieces',
  colours: 'colours',
  soak: 'soak',
  jugs: 'jugs',
  bags: 'bagging',
};

export function Batch({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [run, actionFault, busy] = useAction();
  const screenProps = {
    activeTab: 'batches',
    back: { href: '/batches', words: 'Batches' },
    fault: fault || actionFault,
  };
  if (!batch) return html`<${Screen} ...${screenProps} title="Batch" />`;
  const rename = (name) =>
    record([{ scope: `batch/${id}`, subject: id, kind: Kind.batchChanged, body: { name } }], { undo: 'Name changed' });
  return html`<${Screen} ...${screenProps} title=${batch.name} overline=${capitalize(batch.stageText)}
    sub=${capitalize([`started ${batch.started}`, batch.weight].filter(Boolean).join(' · '))}
    actions=${nextAction(batch, run, busy)}>
    ${batch.update && html`<p class="caution">${batch.update}</p>`}
    ${
      batch.pieces.length > 0 &&
      html`<${LinkRow} href=${`/batch/${id}/plan`} title="Plan"
        sub="dye, jugs, soda ash, cost, time: all on one page" />`
    }
    <${Steps} batch=${batch} />
    ${batch.colours.length > 0 && html`<section><h2>Colours</h2><${Swatches} colours=${batch.colours} /></section>`}
    ${batch.bags.length > 0 && html`<section><h2>Bags</h2><${BagTags} bags=${batch.bags} /></section>`}
    <${Notes} list=${[...batch.unapplied.map((m) => m.text), batch.unknown].filter(Boolean)} />
    <${MoreRows} batch=${batch} rename=${rename} />
  </${Screen}>`;
}

/** nextAction links to the screen of the next step; if all steps are done it finishes the batch; else it is null. */
function nextAction(batch, run, busy) {
  const next = batch.steps.find((s) => s.now);
  if (next && stepScreens[next.key]) {
    return html`<a class="button" href=${`/batch/${batch.id}/${stepScreens[next.key]}`}>${next.title}</a>`;
  }
  if (!batch.open || !batch.steps.every((s) => s.done)) return null;
  const draft = { scope: `batch/${batch.id}`, subject: batch.id, kind: Kind.batchFinished, body: {} };
  const finish = () => run(() => record([draft], { undo: `${batch.name} is done` }));
  return html`<button type="button" class="button" disabled=${busy}
    onClick=${finish}>All dry: the batch is done</button>`;
}

/** Steps is the checklist; a step that has a screen is a link. */
const Steps = ({ batch }) =>
  html`<ol class="steps">${batch.steps.map(
    (s) =>
      html`<li key=${s.key} class=${s.done ? 'done' : s.now ? 'now' : ''}>${
        stepScreens[s.key]
          ? html`<a href=${`/batch/${batch.id}/${stepScreens[s.key]}`}><${StepText} step=${s} /><${Icon}
            name="next" /></a>`
          : html`<div><${StepText} step=${s} /></div>`
      }</li>`,
  )}</ol>`;

const StepText = ({ step }) => html`
  <span class="mark" aria-hidden="true">${step.done && html`<${Icon} name="tick" />`}</span>
  <span class="what"><b>${step.title}</b>${step.detail && html`<span class="sub">${keepUnits(step.detail)}</span>`}
    <span class="visually-hidden">${step.done ? ', done' : step.now ? ', next' : ''}</span></span>`;

/** helpersText says who helps with the batch, or how someone could. */
function helpersText({ helpers, shared }) {
  if (helpers.length > 0) return helpers.map((h) => h.name || 'a phone').join(', ');
  return shared ? 'no one has joined yet' : 'share this batch with another phone';
}

/** BatchAlarm offers the alarms of the batch's bags. */
function BatchAlarm({ batch }) {
  const [open, setOpen] = useState(false);
  const show = () => setOpen(true);
  return html`<${LinkRow} title="Alarm" sub="in the calendar, or while the app is open" onClick=${show} />
    <${Dialog} open=${open} onClose=${() => setOpen(false)} title="Alarm for the batch">
      <${AlarmForm} order=${{ batch: batch.id }} /></${Dialog}>`;
}

/** MoreRows links to what is not a step of the work. */
function MoreRows({ batch, rename }) {
  const [isRenaming, setIsRenaming] = useState(false);
  const base = `/batch/${batch.id}`;
  const close = () => setIsRenaming(false);
  return html`<section>
    <${LinkRow} href=${`${base}/labels`} title="Print labels"
      sub="for bags, numbered blanks, pieces, bottles, the bucket" />
    ${
      batch.pieces.length > 0 &&
      html`<${LinkRow} href=${`${base}/sheet`} title="Batch sheet" sub="all of it on paper, or as a PDF" />`
    }
    ${batch.bags.some((b) => b.stage === 'cure') && html`<${BatchAlarm} batch=${batch} />`}
    ${
      batch.bags.length > 0 &&
      html`<${LinkRow} href=${`${base}/again`} title="Repeat batch" sub="as it was done, smaller or larger" />
        <${LinkRow} href=${`${base}/compare`} title="Compare" sub="with another batch: what differed first" />`
    }
    <${LinkRow} href=${`${base}/share`} title="Helpers" sub=${helpersText(batch)} />
    <${LinkRow} href=${`${base}/history`} title="History" sub="everything recorded; undo or restore" />
    <button type="button" class="text-button" onClick=${() => setIsRenaming(true)}>Change the name</button>
    <${Dialog} open=${isRenaming} onClose=${close} title="Name of the batch">
      <${RenameForm} name=${batch.name} save=${rename} onDone=${close} /></${Dialog}>
    <${EndBatch} batch=${batch} />
  </section>`;
}
