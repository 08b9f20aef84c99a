// One bag: how it stands, what it is, and what can be done with it.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { bagView } from '../journal/views.js';
import { AlarmForm } from '../parts/alarm-form.js';
import { AttachLabelForm, DriedForm, MoveForm, TemperatureForm } from '../parts/bag-dialogs.js';
import { BagNumber, Tag } from '../parts/bag-tag.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { DyeFrontWithHours } from '../parts/dye-front.js';
import { LabelDetails } from '../parts/label-details.js';
import { LinkRow } from '../parts/link-row.js';
import { Notes } from '../parts/messages.js';
import { Photos } from '../parts/photos.js';
import { RinseSteps } from '../parts/rinse-steps.js';
import { passPrintOrder, receiveBag } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { SplitBag } from '../parts/split-bag.js';
import { Swatches } from '../parts/swatch.js';

/** nextStep is what the main button of each stage records. */
const nextStep = {
  cure: { kind: Kind.bagOpened, words: 'Open and rinse', undo: 'opened' },
  opened: { kind: Kind.bagRinsed, words: 'It runs clear', undo: 'rinsed', body: { clear: true } },
  rinsed: { kind: Kind.bagDone, words: 'Washed and dry', undo: 'washed and dry' },
};

/** BagAlarm offers the alarms of one bag. */
function BagAlarm({ bag }) {
  return html`<${AlarmForm} order=${{ batch: bag.batch, bag: bag.id }} />`;
}

/** dialogs are the forms that the bag's buttons open, by name. */
const dialogs = {
  temperature: { title: () => 'Temperature', Form: TemperatureForm },
  alarm: { title: (bag) => `Alarm for bag ${bag.number}`, Form: BagAlarm },
  move: { title: () => 'Move bag', Form: MoveForm },
  dry: { title: () => 'Something dried out', Form: DriedForm },
  attach: { title: () => 'Attach a label', Form: AttachLabelForm },
  split: { title: () => 'Put pieces in another bag', Form: SplitBag },
  label: { title: (bag) => `Label of bag ${bag.number}`, Form: LabelDetails },
};

export function Bag({ batch, bag: id }) {
  const { value: bag, fault } = useLiveData(() => bagView(batch, id), [batch, id]);
  const [dialog, setDialog] = useState(() => (receiveBag() === id ? 'label' : ''));
  const [run, actionFault, busy] = useAction();
  const write = (kind, body, undo) =>
    run(() => record([{ scope: `batch/${batch}`, subject: id, kind, body }], { undo }));
  const frame = {
    here: 'today',
    back: { href: `/batch/${batch}`, words: bag?.batchName || 'Batch' },
    fault: fault || actionFault,
  };
  if (!bag) return html`<${Screen} ...${frame} title="Bag" />`;
  return html`<${Screen} ...${frame} tone=${bag.tone} overline=${`Bag ${bag.number}`} name=${`Bag ${bag.number}`}
    title=${capitalize(bag.headline)} acts=${nextStepButton(bag, busy, write)}>
    <${CureState} bag=${bag} />
    <${BagPaper} bag=${bag} />
    ${bag.stage === 'opened' && html`<${RinseSteps} bag=${bag} write=${write} />`}
    ${bag.stage === 'rinsed' && html`<${WashAdvice} />`}
    <${LabelState} bag=${bag} />
    <${Notes} list=${bag.notes} />
    <${Photos} bag=${bag} />
    <${BagTools} bag=${bag} open=${setDialog} write=${write} />
    <${HowWorkedOut} bag=${bag} />
    <${OpenDialog} bag=${bag} name=${dialog} close=${() => setDialog('')} />
  </${Screen}>`;
}

/** nextStepButton records the next step, null where there is none; a curing bag can be opened early. */
function nextStepButton(bag, busy, write) {
  const step = nextStep[bag.stage];
  if (!step) return null;
  const early = bag.stage === 'cure' && bag.tone !== 'done';
  return html`<button type="button" class=${early ? 'act secondary' : 'act'} disabled=${busy}
    onClick=${() => write(step.kind, step.body || {}, `Bag ${bag.number} ${step.undo}`)}>
    ${early ? 'Open early' : step.words}</button>`;
}

/** CureState shows how long the bag still needs, until when, and what that rests on. */
const CureState = ({ bag }) => html`<div class="cure-state">
  ${bag.left && html`<${TimeLeft} parts=${bag.leftParts} />`}
  ${bag.when && html`<p class="lead">${capitalize(bag.when)}</p>`}
  ${bag.stage === 'cure' && html`<p class="sub">${capitalize([bag.safe, bag.if].filter(Boolean).join(', '))}</p>`}
  ${
    bag.strip &&
    bag.colours.length > 0 &&
    html`<${DyeFrontWithHours} id=${bag.id} strip=${bag.strip} colours=${bag.colours}
      mark=${bag.stage === 'cure' ? 'now' : 'opened'} />`
  }
</div>`;

/** TimeLeft writes each number with its unit, which stay on one line: "1 day 3 h". */
const TimeLeft = ({ parts }) =>
  html`<p class="big">${parts.map(
    ({ number, unit }) => html`<span class="nowrap">${number}<small>${unit}</small></span> `,
  )}<span class="nowrap"><small>more</small></span></p>`;

/** BagPaper is the bag's tag with its colours. */
function BagPaper({ bag }) {
  const classes = [...new Set(bag.colours.map((c) => c.classIs))].join(', ');
  return html`<${Tag} big string><div class="line">
      <span class="aside">Bag </span><${BagNumber} bag=${bag} /><span class="what capitalized">${bag.what}</span>
      <span class="when">${[bag.placeName, bag.closed].filter(Boolean).join(' · ')}</span>
    </div></${Tag}>
    <section class="close"><${Swatches} colours=${bag.colours} />
      <p class="sub kinds">${capitalize(classes)}</p></section>`;
}

const WashAdvice = () => html`<p class="body-text">Machine-wash it hot and alone, then dry it in the shade.
  Press a white rag on the wet cloth: it should stay white.</p>`;

/** LabelState says what is on the bag, whether that still holds, and where its pieces went. */
const LabelState = ({ bag }) => html`
  ${
    bag.printed?.stale &&
    html`<p class="caution">${capitalize(bag.printed.stale)}.</p>
      <a class="act secondary small" href=${`/batch/${bag.batch}/labels`}
        onClick=${() => passPrintOrder({ what: 'bags', bag: bag.id })}>Print the label again</a>`
  }
  ${bag.tied && html`<p class="note">The label on it reads ${bag.tied.join(' and ')}.</p>`}
  ${bag.into?.map(
    (b) => html`<${LinkRow} key=${b.id} href=${`/bag/${bag.batch}/${b.id}`} title=${`Bag ${b.number}`}
      sub="pieces were moved into it" />`,
  )}`;

/** BagTools are the buttons for what else can happen to a bag. */
function BagTools({ bag, open, write }) {
  const button = (words, onClick) =>
    html`<button type="button" class="act secondary small" onClick=${onClick}>${words}</button>`;
  const curing = bag.stage === 'cure';
  return html`<section class="tools"><h2>Something else</h2>
    ${curing && button('Temperature', () => open('temperature'))}
    ${curing && button('Move bag', () => open('move'))}
    ${curing && button('I had a look', () => write(Kind.bagLooked, {}, `Looked into bag ${bag.number}`))}
    ${curing && button('Alarm', () => open('alarm'))}
    ${curing && button('It went dry', () => open('dry'))}
    ${button('Label', () => open('label'))}
    ${curing && button('Rebag', () => open('split'))}
    ${bag.blanks && button('Attach a label', () => open('attach'))}
  </section>`;
}

function HowWorkedOut({ bag }) {
  const sentences = [bag.share && `${capitalize(bag.share)} has passed`, bag.model && capitalize(bag.model)];
  const text = sentences.filter(Boolean).join('. ');
  return text && html`<details><summary>How this is worked out</summary><p>${text}.</p></details>`;
}

/** OpenDialog shows the dialog of that name; its form starts afresh each time. */
function OpenDialog({ bag, name, close }) {
  const { title, Form } = dialogs[name] || {};
  return html`<${Dialog} open=${Boolean(Form)} onClose=${close} title=${Form && title(bag)}>
    ${Form && html`<${Form} key=${name} bag=${bag} done=${close} />`}
  </${Dialog}>`;
}
