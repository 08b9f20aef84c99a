// Temperatures in the person's own degrees, read and printed by the core.
import { html } from './html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { style } from '../device/settings.js';
import { ErrorBox } from './messages.js';
import { Stepper } from './stepper.js';
/** @import { Fault } from '../core/fault.js' */

/** degreesText asks the core how a temperature is written in this phone's degrees: "18.5". */
async function degreesText(celsius, start) {
  const value = celsius ?? (await call('choices'))[start];
  const { number } = await call('unit.format', { kind: 'temperature', value, style: style.value });
  return number;
}

/**
 * useTemperature holds the text of a temperature that begins at celsius. Where that is
 * null nothing is shown yet; where it is undefined there is no reading, and it begins at
 * what the core calls start. touched says that a person set it. read gives the value in
 * °C, or throws a Fault where the text is no temperature.
 */
export function useTemperature(celsius, start = 'room') {
  const unit = style.value.system === 'us' ? '°F' : '°C';
  const [text, setText] = useState('');
  const [touched, setTouched] = useState(false);
  const [fault, setFault] = useState(/** @type {Fault | null} */ (null));
  useEffect(() => {
    if (celsius === null) return;
    let current = true;
    degreesText(celsius, start).then(
      (shown) => current && setText(shown),
      (err) => current && setFault(asFault(err)),
    );
    return () => {
      current = false;
    };
  }, [celsius, unit]);
  const typed = `${text} ${unit}`;
  const set = (value) => {
    setTouched(true);
    setText(value);
  };
  const read = async () => {
    if (!text.trim()) return undefined;
    return (await call('unit.parse', { kind: 'temperature', typed, style: style.value })).value;
  };
  return { text, set, unit, typed, touched, fault, read };
}

/** TemperatureField is the stepper for it; of is what useTemperature gave. */
export const TemperatureField = ({ of, label = 'Temperature there', help }) => html`
  <${Stepper} label=${label} help=${help} value=${of.text} unit=${of.unit} onChange=${of.set}
    step=${1} min=${-40} max=${190} least="colder" most="warmer" />
  <${ErrorBox} fault=${of.fault} />`;
