// Bagging: the plan knows the next bag, its piece, its colours and its label. One tap closes it; what differs is one
// tap more.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { asFault } from '../core/fault.js';
import { useScreenOn } from '../device/wake-lock.js';
import { TableCard } from '../fold/table-card.js';
import { findBlank } from '../journal/find.js';
import { bagView, batchView, placeViews } from '../journal/views.js';
import { useBagForm } from '../parts/bag-form.js';
import { BagTag } from '../parts/bag-tag.js';
import { BlankPicker } from '../parts/blank-picker.js';
import { CodeScanner } from '../parts/code-scanner.js';
import { useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { PieceCard, PieceChoice } from '../parts/piece-card.js';
import { PlacePicker } from '../parts/place-picker.js';
import { passBag, passPrintOrder, receiveBlank } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { Swatch } from '../parts/swatch.js';
import { TemperatureField } from '../parts/temperature-field.js';
import { WhenPicker } from '../parts/when-picker.js';

export function Bagging({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: places, fault: placesFault } = useLiveData(placeViews);
  const [closed, setClosed] = useState(null); // the bag that was closed last, by its id
  useScreenOn();
  const back = { href: `/batch/${id}`, words: batch?.name || 'Batch' };
  const screenProps = { activeTab: 'batches', back, fault: fault || placesFault };
  if (!batch || !places) return html`<${Screen} ...${screenProps} title="Dye and bag" />`;
  return html`<${BagScreen} screenProps=${screenProps} batch=${batch} places=${places}
    closed=${closed} onClosed=${setClosed} />`;
}

function BagScreen({ screenProps, batch, places, closed, onClosed }) {
  const form = useBagForm(batch, places, onClosed);
  const [scanned] = useState(receiveBlank); // a blank label that was scanned on the way here
  const design = batch.pieces.find((p) => p.id === form.item?.piece)?.design;
  const isDone = batch.queue.length === 0;
  const advice = 'Dye it on the rack, lay it in its bag wet, press the air out, close.';
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || form.fault}
    title=${form.number && !isDone ? `Bag ${form.number}` : 'Dye and bag'}
    sub=${isDone ? 'Every piece is in a bag.' : form.number ? batch.blanks : batch.noNumber}
    actions=${
      isDone || !(form.number || batch.blanks)
        ? html`<a class="button" href=${`/batch/${batch.id}`}>Back to the batch</a>`
        : html`<${CloseButtons} form=${form} />`
    }>
    ${
      !isDone &&
      html`<${PieceCard} form=${form} />
      ${design && html`<${TableCard} design=${design} />`}
      ${batch.blanks && html`<${ScanToClose} form=${form} batch=${batch} />`}
      <${PlacePicker} places=${places} value=${form.place} onChange=${form.setPlace} />
      <${PieceChoice} form=${form} />
      <${OtherColours} form=${form} colours=${batch.colours} />
      <${OtherLabel} form=${form} batch=${batch} scanned=${scanned} />
      <${Warmth} form=${form} />
      <${WhenPicker} of=${form.when} />
      <p class="sub fine-print">${advice}</p>`
    }
    ${closed && html`<${ClosedBag} batch=${batch.id} bag=${closed} />`}
  </${Screen}>`;
}

/** CloseButtons close the bag, or it and the next ones alike. */
const CloseButtons = ({ form }) => html`
  <button type="button" class="button" disabled=${!form.canSave} onClick=${() => form.save()}>
    Close bag ${form.number}</button>
  ${
    form.alike > 1 &&
    html`<button type="button" class="button secondary small" disabled=${!form.canSave}
      onClick=${() => form.save({ count: form.alike })}>Same for the next${'\u00a0'}${form.alike}</button>`
  }
  ${
    form.last &&
    !form.isAsLast &&
    html`<button type="button" class="button secondary small" onClick=${form.setAsLast}>
      Same as bag ${form.last.number}</button>`
  }`;

/** ScanToClose closes the bag with the blank label that is scanned. */
function ScanToClose({ form, batch }) {
  const [fault, setFault] = useState(/** @type {import('../core/fault.js').Fault | null} */ (null));
  const close = async (code) => {
    setFault(null);
    try {
      const { number, letter = '' } = await findBlank(batch.id, code);
      await form.save({ blank: `${number}${letter}` });
    } catch (err) {
      setFault(asFault(err));
      return false;
    }
    return true;
  };
  return html`<details><summary>Close the bag by scanning its label</summary>
    <${CodeScanner} onCode=${close} words="Scan and close" /><${ErrorBox} fault=${fault} /></details>`;
}

/** OtherColours ticks the colours of the bag, where they are not the planned ones. */
const OtherColours = ({ form, colours }) => html`<details open=${form.parts.length === 0}>
  <summary>Other colours</summary>
  <fieldset class="field"><legend class="label">Colours</legend><div class="palette">${colours.map(
    (c) => html`<span class="option" key=${c.id}>
      <input type="checkbox" id=${`c${c.id}`} checked=${form.parts.some((p) => p.colour === c.id)}
        onChange=${() => form.toggleColour(c.id)} />
      <label for=${`c${c.id}`}><${Swatch} colour=${c} /></label></span>`,
  )}</div></fieldset>
  ${
    form.parts.length > 1 &&
    html`<details><summary>More of one colour than another</summary>${form.parts.map(
      (p) => html`<${Stepper} key=${p.colour} label=${`Parts of ${colours.find((c) => c.id === p.colour)?.name}`}
        value=${form.partsOf(p)} min=${1} max=${20} onChange=${(n) => form.setParts(p.colour, n)} />`,
    )}</details>`
  }
</details>`;

/** OtherLabel asks for another numbered label than the next free one, or leads to where labels are printed. */
const OtherLabel = ({ form, batch, scanned }) =>
  batch.blanks
    ? html`<details open=${Boolean(scanned)}><summary>Use a label other than ${form.number || 'the next one'}</summary>
        <${BlankPicker} batch=${batch.id} free=${batch.blanks} hasLetters=${batch.blanksLettered}
          onPick=${form.setBlank} initial=${scanned} nextNumber=${batch.next?.text} /></details>`
    : html`<${LinkRow} href=${`/batch/${batch.id}/labels`} title="Print numbered blanks first"
        sub="attach them with wet hands, scan them here"
        onClick=${() => passPrintOrder({ what: 'blanks', back: location.pathname, words: 'Dye and bag' })} />`;

const Warmth = ({ form }) => html`<details open=${form.placeView && form.placeView.celsius == null}>
  <summary>Temperature there: ${form.placeView?.celsius != null ? form.placeView.text : 'no reading yet'}</summary>
  <${TemperatureField} temperature=${form.temperature} help="enter what a thermometer there shows" /></details>`;

/** ClosedBag is the bag that was just closed; its label is one tap away, on the screen and for the printer. */
function ClosedBag({ batch, bag }) {
  const { value: view, fault } = useLiveData(() => bagView(batch, bag), [bag]);
  if (!view) return html`<${ErrorBox} fault=${fault} />`;
  return html`<div class="just-closed"><${BagTag} bag=${view} compact />
    <div class="row spaced"><a class="button secondary small" href=${`/bag/${batch}/${bag}`}
        onClick=${() => passBag(bag)}>Label of bag ${view.number}</a>
      <a class="button secondary small" href=${`/batch/${batch}/labels`}
        onClick=${() => passPrintOrder({ what: 'bags', bag, back: location.pathname, words: 'Dye and bag' })}>
        Print label</a></div>
  </div>`;
}
