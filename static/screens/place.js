// One place: how warm it is now, and how its nights and days usually are.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { isHelper } from '../sync/hub-state.js';
import { record } from '../journal/journal.js';
import { placeView, placeHistory } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { TemperatureField, useTemperature } from '../parts/temperature-field.js';
import { Sensors } from '../parts/sensors.js';
import { ErrorBox } from '../parts/messages.js';

export function Place({ id }) {
  const { value: place, fault } = useLiveData(() => placeView(id), [id]);
  const { value: lines } = useLiveData(() => placeHistory(id), [id]);
  const [sheet, open] = useState('');
  const degrees = useTemperature(place ? place.celsius : null);
  const [run, wrong, busy] = useAction();
  const scope = `place/${id}`;
  const read = () =>
    run(async () =>
      record(
        [
          {
            scope,
            subject: id,
            kind: Kind.placeRead,
            body: { celsius: /** @type {number} */ (await degrees.read()), typed: { celsius: degrees.typed } },
          },
        ],
        { undo: `${degrees.typed} noted` },
      ),
    );
  return html`<${Screen} here="shelf" back=${{ href: '/shelf', words: 'Shelf' }} title=${place ? capitalize(place.name) : 'Place'} fault=${fault || wrong} sub=${place && [place.text, place.old && 'an old reading'].filter(Boolean).join(', ')}
    acts=${place && !isHelper.value && html`<button type="button" class="act" disabled=${busy || !degrees.text} onClick=${read}>It is ${degrees.text} ${degrees.unit} now</button>`}>
    ${
      place &&
      html`${!isHelper.value && html`<${TemperatureField} of=${degrees} label="A thermometer there shows" help="at the height of the bags, out of the sun" />`}
      <section><h2>Usual night and day</h2><p>${place.usual ? capitalize(place.usual) : html`<span class="sub">Not said. With it the coming night is reckoned better.</span>`}</p>
        ${!isHelper.value && html`<button type="button" class="plain" onClick=${() => open('usual')}>${place.usual ? 'Change it' : 'Say it'}</button>`}</section>
      ${lines && lines.length > 0 && html`<section><details><summary>Earlier readings</summary><ol class="history">${lines.map((l) => html`<li class=${l.withdrawn ? 'gone' : ''} key=${l.fact}><span><b>${capitalize(l.text)}</b><span class="sub">${l.when}</span></span></li>`)}</ol></details></section>`}
      ${!isHelper.value && html`<${Sensors} id=${id} list=${place.sensors} />`}
      ${!isHelper.value && html`<section><button type="button" class="plain" onClick=${() => open('name')}>Change the name</button></section>`}
      <${Dialog} open=${sheet === 'usual'} onClose=${() => open('')} title="Usual night and day"><${Usual} scope=${scope} id=${id} done=${() => open('')} /></${Dialog}>
      <${Dialog} open=${sheet === 'name'} onClose=${() => open('')} title="Name of the place"><${Rename} scope=${scope} place=${place} done=${() => open('')} /></${Dialog}>`
    }
  </${Screen}>`;
}

function Usual({ scope, id, done }) {
  const low = useTemperature(undefined, 'night'),
    high = useTemperature(undefined, 'day');
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const [a, b] = /** @type {number[]} */ ([await low.read(), await high.read()]);
      await record(
        [
          {
            scope,
            subject: id,
            kind: Kind.placeUsual,
            body: { low: a, high: b, typed: { low: low.typed, high: high.typed } },
          },
        ],
        { undo: 'Usual night and day noted' },
      );
      done();
    });
  return html`<div><${TemperatureField} of=${low} label="Coldest in the night" /><${TemperatureField} of=${high} label="Warmest in the day" /><${ErrorBox} fault=${fault} /><button type="button" class="act wide" disabled=${busy} onClick=${save}>Note it</button></div>`;
}

function Rename({ scope, place, done }) {
  const [name, set] = useState(place.name);
  const [run, fault, busy] = useAction();
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      await record([{ scope, subject: place.id, kind: Kind.placeNamed, body: { name: name.trim() } }], {
        undo: 'Name changed',
      });
      done();
    });
  };
  return html`<form onSubmit=${save}><${Field} label="Name" value=${name} onInput=${set} /><${ErrorBox} fault=${fault} /><button class="act wide" disabled=${busy || !name.trim()}>Save the name</button></form>`;
}
