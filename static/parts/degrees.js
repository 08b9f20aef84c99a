// Temperatures in the person's own degrees, read and printed by the core.
import {useState, useEffect} from 'preact/hooks';
import {html} from './html.js';
import {call} from '/core.js';
import {style} from '/settings.js';
import {Stepper} from './stepper.js';

/** useDegrees holds the text of a temperature that begins at celsius (or null for none). */
export function useDegrees(celsius) {
  const unit = style.value.system === 'us' ? '°F' : '°C';
  const [text, set] = useState('');
  useEffect(() => {
    if (celsius == null) return;
    let here = true;
    call('unit.show', {kind: 'temperature', value: celsius, style: style.value}).then(v => here && set(v.text.replace(/[^\d.,−-].*$/, '').replace('−', '-')), () => {});
    return () => { here = false; };
  }, [celsius, unit]);
  const typed = `${text} ${unit}`;
  return {text, set, unit, typed, read: async () => text.trim() ? (await call('unit.parse', {kind: 'temperature', typed, style: style.value})).value : undefined};
}

/** Degrees is the stepper for it. */
export const Degrees = ({of, label = 'Temperature there', help}) => html`<${Stepper} label=${label} help=${help} value=${of.text} unit=${of.unit} onChange=${of.set} step=${1} min=${-40} max=${190} least="colder" most="warmer" />`;
