// One place: its temperature now, and its usual nights and days.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { record, restoreFacts, withdrawFacts } from '../journal/journal.js';
import { extremeTimes, placeHistory, placeView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { AlarmForm } from '../parts/alarm-form.js';
import { BagTags } from '../parts/bag-tag.js';
import { Choice } from '../parts/choice.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { RenameForm } from '../parts/rename-form.js';
import { Screen } from '../parts/screen.js';
import { Sensors } from '../parts/sensors.js';
import { TemperatureField, useTemperature } from '../parts/temperature-field.js';
import { WhenPicker, useWhen } from '../parts/when-picker.js';

const placeDraft = (id, kind, body) => ({ scope: `place/${id}`, subject: id, kind, body });

export function Place({ id }) {
  const { value: place, fault } = useLiveData(() => placeView(id), [id]);
  const { value: lines, fault: historyFault } = useLiveData(() => placeHistory(id), [id]);
  const temperature = useTemperature(place ? place.celsius : null);
  const [where, setWhere] = useState('air');
  const [run, actionFault, busy] = useAction();
  const when = useWhen();
  const canChange = !isHelper.value;
  const save = () =>
    run(async () => {
      const body = { celsius: await temperature.read(), where, typed: { celsius: temperature.typed } };
      const at = await when.read();
      const draft = { ...placeDraft(id, Kind.placeRead, body), ...(at && { at }) };
      await record([draft], { undo: `${temperature.typed} saved` });
      when.reset();
    });
  const screenProps = {
    activeTab: 'shelf',
    back: { href: '/shelf', words: 'Shelf' },
    fault: fault || historyFault || actionFault,
  };
  if (!place) return html`<${Screen} ...${screenProps} title="Place" />`;
  const saveButton = html`<button type="button" class="button" disabled=${busy || !temperature.text} onClick=${save}>
    It ${when.choice === 'now' ? 'is' : 'was'} ${temperature.text} ${temperature.unit}${
      when.choice === 'now' && ' now'
    }</button>`;
  return html`<${Screen} ...${screenProps} title=${capitalize(place.name)} actions=${canChange && saveButton}
    sub=${[place.text, place.old && 'an old reading'].filter(Boolean).join(', ')}>
    ${place.advice && html`<p class="caution">${capitalize(place.advice)}.</p>`}
    ${
      canChange &&
      html`<${TemperatureField} temperature=${temperature} label="A thermometer there shows"
        help="at the height of the bags, out of the sun" />
        <details><summary>The thermometer is ${whereOptions.find((o) => o.value === where)?.words}</summary>
          <${Choice} label="The thermometer is" hidden value=${where} onChange=${setWhere} options=${whereOptions} />
        </details>
        <${WhenPicker} of=${when} /><${LowHighEntry} id=${id} where=${where} />`
    }
    ${place.bags && html`<${PlaceAlarm} id=${id} name=${place.name} /><${PlaceBags} place=${place} />`}
    <${UsualDay} id=${id} usual=${place.usual} canChange=${canChange} />
    ${lines && lines.length > 0 && html`<${EarlierReadings} lines=${lines} run=${canChange && run} busy=${busy} />`}
    ${canChange && html`<${Sensors} id=${id} list=${place.sensors} />`}
    ${canChange && html`<${PlaceName} id=${id} name=${place.name} />`}
  </${Screen}>`;
}

const whereOptions = [
  { value: 'air', words: 'in the air' },
  { value: 'dummy', words: 'in a wet dummy bag', detail: 'wet cloth without dye, among the others: the surest' },
  { value: 'bag', words: 'on a bag' },
];

/** PlaceBags lists the bags that cure there, the first that is ready first, and what to do with cold ones. */
const PlaceBags = ({ place }) => html`<section><h2>${capitalize(place.waiting)}</h2>
  <${BagTags} bags=${place.bags} /></section>`;

/** LowHighEntry takes the lowest and the highest that a thermometer with a memory shows. */
function LowHighEntry({ id, where }) {
  const [open, setOpen] = useState(false);
  const close = () => setOpen(false);
  return html`<button type="button" class="text-button"
      onClick=${() => setOpen(true)}>Last night’s low and high</button>
    <${Dialog} open=${open} onClose=${close} title="Last night’s low and high">
      <${LowHighForm} id=${id} where=${where} done=${close} /></${Dialog}>`;
}

function LowHighForm({ id, where, done }) {
  const low = useTemperature(undefined, 'night');
  const high = useTemperature(undefined, 'day');
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const typed = { low: low.typed, high: high.typed };
      const body = { low: await low.read(), high: await high.read(), ...(await extremeTimes()), where, typed };
      await record([placeDraft(id, Kind.placeExtremes, body)], { undo: `${low.typed} to ${high.typed} saved` });
      done();
    });
  return html`<div>
    <p class="sub">From a thermometer that remembers its lowest and its highest. They count as the temperatures
      at about six in the morning and three in the afternoon, and change when every bag here is ready.</p>
    <${TemperatureField} temperature=${low} label="Lowest" />
    <${TemperatureField} temperature=${high} label="Highest" />
    <${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy} onClick=${save}>Save</button>
  </div>`;
}

/** PlaceAlarm offers the alarms of the bags that stand there. */
function PlaceAlarm({ id, name }) {
  const [open, setOpen] = useState(false);
  const show = () => setOpen(true);
  return html`<section class="compact">
    <${LinkRow} title="Alarm" sub="for the bags here" onClick=${show} />
    <${Dialog} open=${open} onClose=${() => setOpen(false)} title=${`Alarm: ${name}`}>
      <${AlarmForm} order=${{ place: id }} /></${Dialog}></section>`;
}

/** UsualDay shows the usual night and day of the place, from which the coming night is estimated. */
function UsualDay({ id, usual, canChange }) {
  const [open, setOpen] = useState(false);
  const close = () => setOpen(false);
  const none = html`<span class="sub">Not set. It improves tonight’s estimate.</span>`;
  const words = usual ? 'Change' : 'Set';
  return html`<section><h2>Usual night and day</h2><p>${usual ? capitalize(usual) : none}</p>
    ${
      canChange &&
      html`<button type="button" class="text-button" onClick=${() => setOpen(true)}>${words}
        <span class="visually-hidden"> usual night and day</span></button>`
    }
    <${Dialog} open=${open} onClose=${close} title="Usual night and day">
      <${UsualDayForm} id=${id} onDone=${close} /></${Dialog}>
  </section>`;
}

function UsualDayForm({ id, onDone }) {
  const low = useTemperature(undefined, 'night');
  const high = useTemperature(undefined, 'day');
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const body = { low: await low.read(), high: await high.read(), typed: { low: low.typed, high: high.typed } };
      await record([placeDraft(id, Kind.placeUsual, body)], { undo: 'Usual night and day saved' });
      onDone();
    });
  return html`<div>
    <${TemperatureField} temperature=${low} label="Usual low at night" />
    <${TemperatureField} temperature=${high} label="Usual high in the day" />
    <${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy} onClick=${save}>Save</button>
  </div>`;
}

/** EarlierReadings lists what was recorded of the place; without run this phone changes none of it. */
const EarlierReadings = ({ lines, run, busy }) => html`<section><details><summary>Earlier readings</summary>
  <ol class="history">${lines.map(
    (l) => html`<li class=${l.withdrawn ? 'struck-out' : ''} key=${l.fact}>
      <span><b>${capitalize(l.text)}</b><span class="sub">${l.when}</span></span>
      ${run && !l.fixed && html`<${UndoReading} line=${l} run=${run} busy=${busy} />`}</li>`,
  )}</ol></details></section>`;

function UndoReading({ line, run, busy }) {
  const words = line.withdrawn ? 'Restore' : 'Undo';
  const change = () => run(() => (line.withdrawn ? restoreFacts : withdrawFacts)(line.facts));
  return html`<button type="button" class="text-button" disabled=${busy} aria-label=${`${words}: ${line.text}`}
    onClick=${change}>${words}</button>`;
}

function PlaceName({ id, name }) {
  const [open, setOpen] = useState(false);
  const close = () => setOpen(false);
  const rename = (text) => record([placeDraft(id, Kind.placeNamed, { name: text })], { undo: 'Name changed' });
  return html`<section><button type="button" class="text-button" onClick=${() => setOpen(true)}>Change the name</button>
    <${Dialog} open=${open} onClose=${close} title="Name of the place">
      <${RenameForm} name=${name} save=${rename} onDone=${close} /></${Dialog}>
  </section>`;
}
