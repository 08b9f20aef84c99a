// Temperatures in the person's own degrees, read and printed by the core.
import { useState, useEffect } from 'preact/hooks';
import { html } from './html.js';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';
import { Stepper } from './stepper.js';

/** useTemperature holds the text of a temperature that begins at celsius. Where that is
 * null nothing is shown yet; where it is undefined nobody read one, and it begins
 * at what the core starts from under the name start. touched says that a person
 * set it. */
export function useTemperature(celsius, start = 'room') {
  const unit = style.value.system === 'us' ? '°F' : '°C';
  const [text, show] = useState('');
  const [touched, touch] = useState(false);
  useEffect(() => {
    if (celsius === null) return;
    let here = true;
    const value = async () => celsius ?? (await call('choices'))[start];
    value()
      .then((v) => call('unit.format', { kind: 'temperature', value: v, style: style.value }))
      .then(
        (v) => here && show(v.number),
        () => {},
      );
    return () => {
      here = false;
    };
  }, [celsius, unit]);
  const typed = `${text} ${unit}`;
  const set = (value) => {
    touch(true);
    show(value);
  };
  return {
    text,
    set,
    unit,
    typed,
    touched,
    read: async () =>
      text.trim() ? (await call('unit.parse', { kind: 'temperature', typed, style: style.value })).value : undefined,
  };
}

/** TemperatureField is the stepper for it. */
export const TemperatureField = ({ of, label = 'Temperature there', help }) =>
  html`<${Stepper} label=${label} help=${help} value=${of.text} unit=${of.unit} onChange=${of.set} step=${1} min=${-40} max=${190} least="colder" most="warmer" />`;
