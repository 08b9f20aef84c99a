// mL per squeeze; it depends on this phone's owner, so it stays on this phone.
import { html } from '../parts/html.js';
import { signal } from '@preact/signals';
import { useState } from 'preact/hooks';
import { Field } from '../parts/field.js';

const key = 'coldbatch.squeeze';

function readStored() {
  try {
    return Number(localStorage.getItem(key)) || 0;
  } catch {
    return 0;
  }
}

// squeeze is in mL, 0 where it is not known.
export const squeeze = signal(readStored());

function setSqueeze(ml) {
  squeeze.value = ml;
  try {
    localStorage.setItem(key, String(ml));
  } catch {
    // it holds until the app is closed
  }
}

/** SqueezeField asks for it; the volume of ten squeezes into a jug. */
export function SqueezeField() {
  const [typed, setTyped] = useState(squeeze.value ? String(Math.round(squeeze.value * 100) / 10) : '');
  const change = (text) => {
    setTyped(text);
    const ml = Number(text.replace(',', '.')) / 10;
    setSqueeze(ml > 0 && ml <= 50 ? ml : 0);
  };
  return html`<details><summary>Count in squeezes</summary>
    <${Field} label="Ten squeezes of your bottle, in mL" inputmode="decimal" placeholder="30" value=${typed}
      help="squeeze ten times into a measuring jug, as you do when dyeing" onInput=${change} /></details>`;
}
