// The dialogs of a bag. Each form calls onDone once its facts are
// stored, and shows the error if they are not.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { findBlank } from '../journal/find.js';
import { record } from '../journal/journal.js';
import { placeViews } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { BlankPicker } from './blank-picker.js';
import { Choice } from './choice.js';
import { useAction, useLiveData } from './data-hooks.js';
import { Quantity } from './field.js';
import { ErrorBox } from './messages.js';
import { PlacePicker } from './place-picker.js';
import { TemperatureField, useTemperature } from './temperature-field.js';
import { WhenPicker, useWhen } from './when-picker.js';

const bagDraft = (bag, kind, body) => ({ scope: `batch/${bag.batch}`, subject: bag.id, kind, body });

const SaveButton = ({ words = 'Save', disabled, onClick }) =>
  html`<button type="button" class="button wide" disabled=${disabled} onClick=${onClick}>${words}</button>`;

/** TemperatureForm records how warm it is where the bag stands. */
export function TemperatureForm({ bag, onDone }) {
  const { value: places, fault: placesFault } = useLiveData(placeViews);
  const place = places?.find((p) => p.id === bag.place);
  const temperature = useTemperature(places ? place?.celsius : null);
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const celsius = await temperature.read();
      const isPlaceReading = bag.place && !isHelper.value; // a helper records nothing of places
      const draft = isPlaceReading
        ? {
            scope: `place/${bag.place}`,
            subject: bag.place,
            kind: Kind.placeRead,
            body: { celsius, typed: { celsius: temperature.typed } },
          }
        : bagDraft(bag, Kind.bagMoved, { place: bag.place, celsius });
      const at = await when.read();
      await record([{ ...draft, ...(at && { at }) }], { undo: `${temperature.typed} saved` });
      onDone();
    });
  return html`<div>
    <${TemperatureField} temperature=${temperature} help=${place?.text}
      label=${bag.placeName ? `Now at: ${bag.placeName}` : 'Where the bag stands'} />
    <${WhenPicker} of=${when} />
    <${ErrorBox} fault=${placesFault || fault} />
    <${SaveButton} disabled=${busy || !temperature.text} onClick=${save} />
  </div>`;
}

/** MoveForm records where the bag is now, and the temperature there if a person sets it. */
export function MoveForm({ bag, onDone }) {
  const { value: places, fault: placesFault } = useLiveData(placeViews);
  const [placeId, setPlaceId] = useState(bag.place || '');
  const place = places?.find((p) => p.id === placeId);
  const temperature = useTemperature(places ? place?.celsius : null);
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const celsius = temperature.touched ? await temperature.read() : undefined;
      const at = await when.read();
      const draft = bagDraft(bag, Kind.bagMoved, { place: placeId, celsius });
      await record([{ ...draft, ...(at && { at }) }], { undo: `Bag ${bag.number} moved` });
      onDone();
    });
  return html`<div>
    ${places && html`<${PlacePicker} places=${places} value=${placeId} onChange=${setPlaceId} />`}
    ${places && html`<${TemperatureField} temperature=${temperature} help=${place?.text} />`}
    <${WhenPicker} of=${when} />
    <${ErrorBox} fault=${placesFault || fault} />
    <${SaveButton} words="Moved" disabled=${busy || !places} onClick=${save} />
  </div>`;
}

const wettedOptions = [
  { value: 'yes', words: 'yes, with soda-ash water' },
  { value: 'no', words: 'no, it is still dry' },
];

/** DriedForm records that cloth in the bag dried out. */
export function DriedForm({ bag, onDone }) {
  const [wetted, setWetted] = useState('yes');
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const at = await when.read();
      const draft = bagDraft(bag, Kind.bagDried, { wetted: wetted === 'yes' });
      await record([{ ...draft, ...(at && { at }) }], { undo: `Bag ${bag.number}: went dry` });
      onDone();
    });
  return html`<div>
    <p>Dye bonds only where the cloth is wet.</p>
    <${Choice} oneColumn label="Did you wet it again?" value=${wetted} onChange=${setWetted} options=${wettedOptions} />
    <${WhenPicker} of=${when} label="When you found it" />
    <${ErrorBox} fault=${fault} />
    <${SaveButton} disabled=${busy} onClick=${save} />
  </div>`;
}

/** WeighForm records what the wet pieces weigh: their pick-up, with which later plans are made. */
export function WeighForm({ bag, onDone }) {
  const [typed, setTyped] = useState('');
  const [read, setRead] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const body = { grams: read.value, typed: { grams: typed.trim() } };
      await record([bagDraft(bag, Kind.bagWeighed, body)], { undo: `Bag ${bag.number}: ${typed.trim()} saved` });
      onDone();
    });
  return html`<div>
    <p class="sub">It shows how much dye your cloth takes up. After three bags you can use your own figure in your
      plans: go to Batches, then Results.</p>
    <${Quantity} label="The wet pieces weigh" kinds=${['mass']} value=${typed} onInput=${setTyped} onRead=${setRead}
      placeholder="512 g" help="without the bag; soon after you closed it" />
    <${ErrorBox} fault=${fault} />
    <${SaveButton} disabled=${busy || !(read.value > 0)} onClick=${save} />
  </div>`;
}

/** AttachLabelForm attaches a numbered blank label to the bag. */
export function AttachLabelForm({ bag, onDone }) {
  const [number, setNumber] = useState('');
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const { token } = await findBlank(bag.batch, number);
      await record([bagDraft(bag, Kind.bagBound, { token })], {
        undo: `Label ${number} attached to bag ${bag.number}`,
      });
      onDone();
    });
  return html`<div>
    <${BlankPicker} batch=${bag.batch} free=${bag.blanks} hasLetters=${bag.blanksLettered} onPick=${setNumber} />
    <${ErrorBox} fault=${fault} />
    <${SaveButton} words="Attach" disabled=${busy || !number} onClick=${save} />
  </div>`;
}
