// How much of a colour to make: as the cloth asks for it, or by bottles, by volume or by grams.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';
import { useData } from './data-hooks.js';
import { Quantity } from './field.js';
import { Stepper } from './stepper.js';

/** useAmount takes [text, setText] of a quantity that may be left out; value is 0 then. */
function useAmount(kind, start, [text, setText]) {
  const [reading, setReading] = useState(/** @type {any} */ ({})); // as Quantity read it
  const { value: shown } = useData(() =>
    start ? call('unit.format', { kind, value: start, style: style.value }) : null,
  );
  const typed = text ?? shown?.text ?? '';
  const isRead = !typed.trim() || reading.value > 0;
  // What was not touched stays as it is, not as it is shown.
  const value = text === null ? start || 0 : typed.trim() ? reading.value : 0;
  return { typed, setText, setReading, isRead, value };
}

/** useJugFields holds how much to make; field returns what is filled in, by a key. */
export function useJugFields(colour, field) {
  const [holds, ml, grams] = [
    useAmount('volume', colour?.holds, field('holds', null)),
    useAmount('volume', colour?.ml, field('ml', null)),
    useAmount('mass', colour?.grams, field('grams', null)),
  ];
  const [bottles, setBottles] = field('bottles', String(colour?.bottles || 0));
  const body = () => ({ holds: holds.value, ml: ml.value, grams: grams.value, bottles: Number(bottles) || 0 });
  const isRead = holds.isRead && ml.isRead && grams.isRead && Number(bottles) >= 0;
  return { holds, ml, grams, bottles, setBottles, body, isRead, isByHand: Object.values(body()).some(Boolean) };
}

const Amount = ({ form, ...rest }) =>
  html`<${Quantity} ...${rest} value=${form.typed} onInput=${form.setText} onRead=${form.setReading} />`;

/** JugFields asks how much to make; left empty, the cloth that wears the colour decides. */
export const JugFields = ({ form }) => html`<details open=${form.isByHand}>
  <summary>Bottles and amount: ${form.isByHand ? 'by hand' : 'as the cloth needs'}</summary>
  <${Amount} form=${form.holds} label="A bottle holds" kinds=${['volume']} placeholder="8 fl oz or 240 mL"
    presets=${['8 fl oz', '16 fl oz', '120 mL', '240 mL', '500 mL']} />
  <${Stepper} label="Bottles" value=${form.bottles} onChange=${form.setBottles} min=${0} max=${30}
    help="0: as many as the cloth needs" />
  <${Amount} form=${form.ml} label="Make up to" kinds=${['volume']} placeholder="500 mL" />
  <${Amount} form=${form.grams} label="Powder" kinds=${['mass']} placeholder="14 g"
    help="if you weigh a fixed amount" />
</details>`;
