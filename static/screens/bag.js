// One bag: its state, its pieces and colours, and what can be done with it.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { signal } from '@preact/signals';
import { record } from '../journal/journal.js';
import { bagView } from '../journal/views.js';
import { AlarmForm } from '../parts/alarm-form.js';
import { AttachLabelForm, DriedForm, MoveForm, TemperatureForm, WeighForm } from '../parts/bag-dialogs.js';
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
import { WhenPicker, useWhen } from '../parts/when-picker.js';

/** nextSteps has what the main button records at each stage. */
const nextSteps = {
  cure: { kind: Kind.bagOpened, words: 'Open and rinse', undo: 'opened' },
  opened: { kind: Kind.bagRinsed, words: 'It runs clear', undo: 'rinsed', body: { clear: true } },
  rinsed: { kind: Kind.bagDone, words: 'Mark washed and dry', undo: 'washed and dry' },
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
  weigh: { title: (bag) => `Weigh bag ${bag.number}`, Form: WeighForm },
  attach: { title: () => 'Attach a label', Form: AttachLabelForm },
  split: { title: () => 'Put pieces in another bag', Form: SplitBag },
  label: { title: (bag) => `Label of bag ${bag.number}`, Form: LabelDetails },
};

export function Bag({ batch, bag: id }) {
  const { value: bag, fault } = useLiveData(() => bagView(batch, id), [batch, id]);
  // Only OpenDialog reads which one is open, so that the rest is not drawn again.
  const [dialog] = useState(() => signal(receiveBag() === id ? 'label' : ''));
  const openDialog = (name) => {
    dialog.value = name;
  };
  const [run, actionFault, busy] = useAction();
  const when = useWhen();
  const recordFact = (kind, body, undo) =>
    run(async (sure) => {
      const at = await when.read();
      await record([{ scope: `batch/${batch}`, subject: id, kind, body, ...(at && { at }) }], { undo, sure });
      when.reset();
    });
  const screenProps = {
    activeTab: 'today',
    back: { href: `/batch/${batch}`, words: bag?.batchName || 'Batch' },
    fault: fault || actionFault,
  };
  if (!bag) return html`<${Screen} ...${screenProps} title="Bag" />`;
  return html`<${Screen} ...${screenProps} tone=${bag.tone} overline=${`Bag ${bag.number}`} name=${`Bag ${bag.number}`}
    title=${capitalize(bag.headline)} actions=${nextStepButton(bag, busy, recordFact)}>
    <${CureState} bag=${bag} />
    <${BagHeader} bag=${bag} />
    ${nextSteps[bag.stage] && html`<${WhenPicker} of=${when} />`}
    ${bag.stage === 'opened' && html`<${RinseSteps} bag=${bag} recordFact=${recordFact} />`}
    ${bag.stage === 'rinsed' && html`<${WashAdvice} />`}
    <${LabelState} bag=${bag} />
    <${Notes} list=${bag.notes} />
    <${Photos} bag=${bag} />
    ${
      bag.stage !== 'cure' &&
      html`<section>
        <${LinkRow} href=${`/bag/${bag.batch}/${bag.id}/result`} title="Result"
          sub=${bag.rated || 'rate it, read its colour from a photo, print a care card'} />
        <${LinkRow} href=${`/bag/${bag.batch}/${bag.id}/why`} title="Why did it come out like this?"
          sub="from this bag’s record" />
      </section>`
    }
    <${BagTools} bag=${bag} openDialog=${openDialog} recordFact=${recordFact} />
    <${CalculationDetails} bag=${bag} />
    <${OpenDialog} bag=${bag} dialog=${dialog} close=${() => openDialog('')} />
  </${Screen}>`;
}

/** nextStepButton records the next step, or is null if there is none; a curing bag can be opened early. */
function nextStepButton(bag, busy, recordFact) {
  const step = nextSteps[bag.stage];
  if (!step) return null;
  const isEarly = bag.stage === 'cure' && bag.tone !== 'done';
  return html`<button type="button" class=${isEarly ? 'button secondary' : 'button'} disabled=${busy}
    onClick=${() => recordFact(step.kind, step.body || {}, `Bag ${bag.number} ${step.undo}`)}>
    ${isEarly ? 'Open early' : step.words}</button>`;
}

/** CureState shows how long the bag still needs, when it is ready, and on what condition. */
const CureState = ({ bag }) => html`<div class="cure-state">
  ${bag.left && html`<${TimeLeft} parts=${bag.leftParts} />`}
  ${bag.when && html`<p class="lead">${capitalize(bag.when)}</p>`}
  ${bag.stage === 'cure' && html`<p class="sub">${capitalize([bag.safe, bag.if].filter(Boolean).join(', '))}</p>`}
  ${
    bag.strip &&
    bag.colours.length > 0 &&
    html`<${DyeFrontWithHours} id=${bag.id} strip=${bag.strip} colours=${bag.colours}
      frontLabel=${bag.stage === 'cure' ? 'now' : 'opened'} />`
  }
</div>`;

/** TimeLeft keeps each number and its unit on one line: "1 day 3 h". */
const TimeLeft = ({ parts }) =>
  html`<p class="big-text">${parts.map(
    ({ number, unit }) => html`<span class="nowrap">${number}<small>${unit}</small></span> `,
  )}<span class="nowrap"><small>more</small></span></p>`;

/** BagHeader is the bag's tag with its colours. */
function BagHeader({ bag }) {
  const dyeClasses = [...new Set(bag.colours.map((c) => c.classIs))].join(', ');
  return html`<${Tag} large hasString><div class="tag-body">
      <span class="visually-hidden">Bag </span><${BagNumber} bag=${bag} /><span
        class="contents capitalized">${bag.what}</span>
      <span class="when">${[bag.placeName, bag.closed].filter(Boolean).join(' · ')}</span>
    </div></${Tag}>
    <section class="compact"><${Swatches} colours=${bag.colours} detail=${(c) => c.off} />
      <p class="sub fine-print">${capitalize(dyeClasses)}</p></section>`;
}

const WashAdvice = () => html`<p class="body-text">Machine-wash it hot and alone, then dry it in the shade.
  Press a white rag on the wet cloth: it should stay white.</p>`;

/** LabelState says whether the printed label is still right, which label is attached, and where moved pieces are. */
const LabelState = ({ bag }) => html`
  ${
    bag.printed?.stale &&
    html`<p class="caution">${capitalize(bag.printed.stale)}.</p>
      <a class="button secondary small" href=${`/batch/${bag.batch}/labels`}
        onClick=${() => passPrintOrder({ what: 'bags', bag: bag.id })}>Print the label again</a>`
  }
  ${bag.tied && html`<p class="note">The label on it reads ${bag.tied.join(' and ')}.</p>`}
  ${bag.into?.map(
    (b) => html`<${LinkRow} key=${b.id} href=${`/bag/${bag.batch}/${b.id}`} title=${`Bag ${b.number}`}
      sub="pieces were moved into it" />`,
  )}`;

/** BagTools are the buttons for everything else that can happen to a bag. */
function BagTools({ bag, openDialog, recordFact }) {
  const renderButton = (words, onClick) =>
    html`<button type="button" class="button secondary small" onClick=${onClick}>${words}</button>`;
  const isCuring = bag.stage === 'cure';
  return html`<section class="bag-tools"><h2>Something else</h2>
    ${isCuring && renderButton('Temperature', () => openDialog('temperature'))}
    ${isCuring && renderButton('Move bag', () => openDialog('move'))}
    ${isCuring && renderButton('I had a look', () => recordFact(Kind.bagLooked, {}, `Looked into bag ${bag.number}`))}
    ${isCuring && renderButton('Alarm', () => openDialog('alarm'))}
    ${isCuring && renderButton('It went dry', () => openDialog('dry'))}
    ${isCuring && renderButton('Weigh it', () => openDialog('weigh'))}
    ${renderButton('Label', () => openDialog('label'))}
    ${isCuring && renderButton('Rebag', () => openDialog('split'))}
    ${bag.blanks && renderButton('Attach a label', () => openDialog('attach'))}
  </section>`;
}

function CalculationDetails({ bag }) {
  const sentences = [bag.share && `${capitalize(bag.share)} has passed`, bag.model && capitalize(bag.model)];
  const text = sentences.filter(Boolean).join('. ');
  return text && html`<details><summary>How this is worked out</summary><p>${text}.</p></details>`;
}

/** OpenDialog shows the dialog whose name the signal has; its form is reset each time. */
function OpenDialog({ bag, dialog, close }) {
  const name = dialog.value;
  const { title, Form } = dialogs[name] || {};
  return html`<${Dialog} open=${Boolean(Form)} onClose=${close} title=${Form && title(bag)}>
    ${Form && html`<${Form} key=${name} bag=${bag} onDone=${close} />`}
  </${Dialog}>`;
}
