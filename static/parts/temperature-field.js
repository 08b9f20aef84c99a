// Temperatures in the person's own degrees, read and printed by the core.
import { html } from './html.js';
import { useState, useLayoutEffect, useRef } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { style } from '../device/settings.js';
import { ErrorBox } from './messages.js';
import { Stepper } from './stepper.js';
/** @import { Fault } from '../core/fault.js' */

/** degreesText asks the core how to write a temperature in this phone's degrees: "18.5". */
async function degreesText(celsius, start) {
  const value = celsius ?? (await call('choices'))[start];
  const { number } = await call('unit.format', { kind: 'temperature', value, style: style.value });
  return number;
}

/**
 * useTemperature holds the text of a temperature that starts at celsius. If that is null, nothing
 * is shown yet; if it is undefined, there is no reading, and it starts at the core's default named
 * start. touched says whether the person changed it. read returns the value in °C, or throws a Fault
 * if the text is not a temperature.
 */
export function useTemperature(celsius, start = 'room') {
  const unit = style.value.system === 'us' ? '°F' : '°C';
  const [text, setText] = useState('');
  const [touched, setTouched] = useState(false);
  const isTyped = useRef(false); // while the core was asked for the start: what was typed stays
  const [fault, setFault] = useState(/** @type {Fault | null} */ (null));
  useLayoutEffect(() => {
    if (celsius === null) return;
    let isCurrent = true;
    isTyped.current = false;
    degreesText(celsius, start).then(
      (shown) => isCurrent && !isTyped.current && setText(shown),
      (err) => isCurrent && setFault(asFault(err)),
    );
    return () => {
      isCurrent = false;
    };
  }, [celsius, unit]);
  const typed = `${text} ${unit}`;
  const set = (value) => {
    isTyped.current = true;
    setTouched(true);
    setText(value);
  };
  const read = async () => {
    if (!text.trim()) return undefined;
    return (await call('unit.parse', { kind: 'temperature', typed, style: style.value })).value;
  };
  const reset = () => setTouched(false); // what was typed is recorded
  return { text, set, unit, typed, touched, fault, read, reset };
}

/** TemperatureField is the stepper for it; temperature is what useTemperature returned. */
export const TemperatureField = ({ temperature, label = 'Temperature there', help }) => html`
  <${Stepper} label=${label} help=${help} value=${temperature.text} unit=${temperature.unit} onChange=${temperature.set}
    step=${1} min=${-40} max=${190} lessLabel="colder" moreLabel="warmer" />
  <${ErrorBox} fault=${temperature.fault} />`;
