// What is looked at and measured in a soak bath, and the time of the pieces in it.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { hubNow } from '../journal/clock.js';
import { signalScan } from '../scan/scan-feedback.js';
import { Chips, Choice } from './choice.js';
import { useUnsaved } from './data-hooks.js';
import { Quantity } from './field.js';
import { Stepper } from './stepper.js';

const dissolved = [
  { value: 'clear', words: 'clear to the bottom' },
  { value: 'cloudy', words: 'not yet' },
];

const instruments = [
  { value: 'strip', words: 'strip' },
  { value: 'meter', words: 'meter' },
];

/** BathChecks takes whether all is dissolved, a measured pH with what it means, and what was added. */
export function BathChecks({ soak, write, busy }) {
  const [ph, setPH] = useUnsaved(`soak.${soak.id}.ph`, '');
  const [instrument, setInstrument] = useState('strip');
  const [water, setWater] = useUnsaved(`soak.${soak.id}.more-water`, '');
  const [soda, setSoda] = useUnsaved(`soak.${soak.id}.more-soda`, '');
  const [readWater, setReadWater] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [readSoda, setReadSoda] = useState(/** @type {any} */ ({}));
  const value = Number(ph.replace(',', '.'));
  const isPH = ph.trim() !== '' && value >= 0 && value <= 14;
  const savePH = async () => {
    await write(Kind.soakChecked, { ph: value, with: instrument, typed: { ph } }, `pH ${ph} saved`);
    setPH(undefined);
  };
  const saveTopUp = async () => {
    const body = { water: readWater.value, soda: readSoda.value, form: 'anhydrous' };
    await write(Kind.soakTopped, { ...body, typed: { water: water.trim(), soda: soda.trim() } }, 'Soak topped up');
    setWater(undefined);
    setSoda(undefined);
  };
  return html`<section><h2>Check the bath</h2>
    <${Choice} label="Is the soda ash dissolved?" value=${soak.dissolved || ''} options=${dissolved}
      onChange=${(v) => write(Kind.soakDissolved, { clear: v === 'clear' }, 'Saved')} />
    ${
      soak.dissolved === 'cloudy' &&
      html`<p class="caution">Keep stirring, with warmer water if needed: grains leave pale spots.</p>`
    }
    ${soak.verdict && html`<p class=${soak.bad ? 'caution' : 'note good'}>pH ${soak.verdict}.</p>`}
    <details open=${ph !== ''}><summary>Measure the pH</summary>
      <${Stepper} label="pH" value=${ph} onChange=${setPH} step=${0.1} min=${7} max=${14} start=${11.3} />
      <${Chips} label="Measured with" value=${instrument} options=${instruments}
        onChange=${(v) => setInstrument(v || 'strip')} />
      <button type="button" class="button secondary wide" disabled=${busy || !isPH} onClick=${savePH}>
        Save pH ${ph}</button></details>
    <details open=${water !== '' || soda !== ''}><summary>Top it up</summary>
      <${Quantity} label="Water added" kinds=${['volume']} value=${water} onInput=${setWater} onRead=${setReadWater}
        placeholder="1 L" />
      <${Quantity} label="Soda ash added" kinds=${['mass']} value=${soda} onInput=${setSoda} onRead=${setReadSoda}
        placeholder="50 g" />
      <button type="button" class="button secondary wide" onClick=${saveTopUp}
        disabled=${busy || !(readWater.value > 0) || !(readSoda.value >= 0)}>Save</button></details>
  </section>`;
}

const second = 1000; // ms

/** minutesText writes a span as a kitchen timer does: 12:05. */
const minutesText = (ms) => {
  const s = Math.ceil(ms / second);
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}`;
};

/** Countdown counts the time of pieces in the bath, and beeps at its end once a tap has allowed sound. */
export function Countdown({ lot }) {
  const [now, setNow] = useState(0); // by the hub's clock; 0 until it is known
  useEffect(() => {
    let last = 0;
    const tick = async () => {
      const at = await hubNow();
      if (last && last < lot.until && at >= lot.until) signalScan();
      last = at;
      setNow(at);
    };
    tick();
    const timer = setInterval(tick, second);
    return () => clearInterval(timer);
  }, [lot.until]);
  if (!now) return null;
  const left = lot.until - now;
  return html`<section class="compact countdown"><p class="big-text" role="timer">${
    left > 0 ? minutesText(left) : html`0:00<small>wet through</small>`
  }</p><p class="sub">${capitalize(lot.text)}; leave tied pieces longer</p></section>`;
}
