// Wash day: which bags share a tub and in which order, counted bath by bath; then the machine.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { setWashSetting, style, washSetting } from '../device/settings.js';
import { record } from '../journal/journal.js';
import { washView } from '../journal/views.js';
import { Choice } from '../parts/choice.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { ErrorBox, Sources } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { namesOf, Tub, WashBags } from '../parts/wash-tub.js';
import { WhichPiece } from '../parts/which-piece.js';

export function Wash() {
  const [place, setPlace] = useState('');
  const { tub, machine } = washEquipment(style.value.system);
  const { value: day, fault } = useLiveData(
    () => washView({ tub: tub.typed, machine: machine.typed, place }),
    [tub.typed, machine.typed, place],
  );
  const frame = { activeTab: 'today', back: { href: '/', words: 'Today' }, fault };
  if (!day) return html`<${Screen} ...${frame} title="Wash day" />`;
  return html`<${Screen} ...${frame} overline="Wash day" name="Wash day" title=${day.headline}
    sub=${day.water && `${capitalize(keepUnits(day.water))} of water in all`}>
    ${
      (day.places.length > 1 || place) &&
      html`<${PlaceChoice} places=${day.places} value=${place} onChange=${setPlace} />`
    }
    ${day.tubs.length > 0 && html`<${Caution} />`}
    ${day.tubs.map((tub, i) => html`<${Tub} key=${tub.key} tub=${tub} number=${i + 1} />`)}
    ${day.machine.length > 0 && html`<${Machine} loads=${day.machine} />`}
    ${day.pieces.length > 0 && html`<${WhichPiece} pieces=${day.pieces} />`}
    <${EquipmentForm} />
    <${Sources} list=${day.sources} />
  </${Screen}>`;
}

const Caution =
  () => html`<p class="body-text">Gloves on. Light colours first, each tub in its own water. Leave the pieces tied
  until the water runs pale; use no hot water until the cloth no longer feels slippery.</p>`;

/** PlaceChoice keeps the wash to the bags of one place. */
const PlaceChoice = ({
  places,
  value,
  onChange,
}) => html`<${Choice} label="Bags from" value=${value} onChange=${onChange}
  options=${[
    { value: '', words: 'all places' },
    ...places.map((p) => ({ value: p.id, words: p.name, detail: `${p.bags} ${p.bags === 1 ? 'bag' : 'bags'}` })),
  ]} />`;

/** Machine lists what is washed together, and records that a load is washed and dry. */
function Machine({ loads }) {
  const [run, fault, busy] = useAction();
  const finish = (load) =>
    run(() =>
      record(
        [
          ...byBatch(load.bags).map(([batch, bags]) => ({
            scope: `batch/${batch}`,
            subject: batch,
            kind: Kind.washDone,
            body: { bags: bags.map((b) => b.id), celsius: 60, alone: true },
          })),
          ...load.bags.map((b) => ({ scope: `batch/${b.batch}`, subject: b.id, kind: Kind.bagDone, body: {} })),
        ],
        { undo: `${namesOf(load.bags)} washed and dry` },
      ),
    );
  return html`<section><h2>Into the machine</h2>
    <p class="sub">Wash hot, with nothing else. Fill it only half, so that the cloth can move.</p>
    ${loads.map(
      (load) => html`<div class="tub" key=${load.bags[0].id}><h3 class="capitalized">${load.title}</h3>
        <p class="sub">${keepUnits(load.weight)}</p><${WashBags} bags=${load.bags} />
        <button type="button" class="button secondary wide" disabled=${busy}
          onClick=${() => finish(load)}>Mark washed and dry</button></div>`,
    )}
    <${ErrorBox} fault=${fault} /></section>`;
}

/** byBatch groups bags by their batch. */
function byBatch(bags) {
  const map = new Map();
  for (const b of bags) map.set(b.batch, [...(map.get(b.batch) || []), b]);
  return [...map];
}

/** washEquipment returns the tub and the machine in a system of units, as a person set them: {text, unit, typed}. */
function washEquipment(system) {
  const [tubUnit, machineUnit] = system === 'us' ? ['gal', 'lb'] : ['L', 'kg'];
  const equipment = (name, unit) => {
    const text = washSetting.value[name + unit];
    return { text, unit, typed: `${text} ${unit}`, set: (value) => setWashSetting({ [name + unit]: value }) };
  };
  return { tub: equipment('tub', tubUnit), machine: equipment('machine', machineUnit) };
}

/** EquipmentForm asks what there is to wash with. */
function EquipmentForm() {
  const { tub, machine } = washEquipment(style.value.system);
  return html`<section><details><summary>Tub and machine</summary>
    <${Stepper} label="My tub holds" value=${tub.text} unit=${tub.unit} step=${1} min=${2} max=${200}
      onChange=${tub.set} />
    <${Stepper} label="My machine is rated for" value=${machine.text} unit=${machine.unit} step=${1} min=${1} max=${40}
      onChange=${machine.set} />
  </details></section>`;
}
