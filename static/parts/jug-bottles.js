// A jug that is mixed: what is left in it, how old it is, and the bottles that are filled from it.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';
import { record } from '../journal/journal.js';
import { useAction, useData } from './data-hooks.js';
import { Quantity } from './field.js';
import { ErrorBox } from './messages.js';
import { Stepper } from './stepper.js';

/** JugBottles shows what is left of a jug, and records bottles that are filled. */
export function JugBottles({ batch, jug }) {
  const [run, fault, busy] = useAction();
  const fill = (ml, count) =>
    run((sure) =>
      record(
        [{ scope: `batch/${batch}`, subject: jug.id, kind: Kind.bottleFilled, body: { jug: jug.id, ml, count } }],
        {
          undo: `${count === 1 ? 'Bottle' : `${count} bottles`} of ${jug.colour.name} filled`,
          sure,
        },
      ),
    );
  return html`<section class="compact"><h2>In the jug</h2>
    <p class="lead">${capitalize(keepUnits([jug.left, jug.filled].filter(Boolean).join(', ')))}</p>
    <p class=${jug.old ? 'sub tone-care' : 'sub'}>${capitalize(jug.age)}</p>
    ${jug.fillML > 0 && jug.leftML > 0 && html`<${FillPlanned} jug=${jug} fill=${fill} busy=${busy} />`}
    <${FillOther} fill=${fill} busy=${busy} />
    <${ErrorBox} fault=${fault} /></section>`;
}

/** FillPlanned fills one bottle as planned. */
function FillPlanned({ jug, fill, busy }) {
  const { value: volume } = useData(
    () => call('unit.format', { kind: 'volume', value: jug.fillML, style: style.value }),
    [jug.fillML],
  );
  return html`<button type="button" class="button secondary small wide" disabled=${busy || !volume}
    onClick=${() => fill(jug.fillML, 1)}>Fill a bottle with ${keepUnits(volume?.text)}</button>`;
}

/** FillOther fills bottles with another amount. */
function FillOther({ fill, busy }) {
  const [typed, setTyped] = useState('');
  const [reading, setReading] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [count, setCount] = useState('1');
  const save = async () => {
    if (await fill(reading.value, Number(count))) setTyped('');
  };
  return html`<details><summary>Fill bottles with a different amount</summary>
    <${Quantity} label="Into each bottle" kinds=${['volume']} value=${typed} onInput=${setTyped} onRead=${setReading}
      placeholder="200 mL" />
    <${Stepper} label="Bottles" value=${count} onChange=${setCount} min=${1} max=${30} />
    <button type="button" class="button secondary small wide" onClick=${save}
      disabled=${busy || !(reading.value > 0) || !(Number(count) >= 1)}>Filled</button></details>`;
}
