// A stepper before a keyboard: less, more, and the number itself to type over.
import { html, classes } from './html.js';
import { useId } from 'preact/hooks';

const number = (text) => Number(String(text).replace(',', '.'));
const decimals = (step) => (String(step).split('.')[1] || '').length;

/**
 * Stepper holds the text of a number; unit stands behind it. It moves by step from
 * min to max. An empty one goes to start at the first touch.
 */
export function Stepper({
  label,
  value,
  onChange,
  step = 1,
  min = 0,
  max = 9999,
  unit,
  help,
  least = 'less',
  most = 'more',
  hidden,
  start,
}) {
  const id = useId();
  const now = number(value);
  const empty = !String(value).trim() || !Number.isFinite(now);
  const move = (by) =>
    onChange(String(Number(Math.min(max, Math.max(min, empty ? (start ?? min) : now + by)).toFixed(decimals(step)))));
  return html`<div class="field">
    <label for=${id} class=${classes(hidden && 'aside')}>${label}</label>
    ${help && html`<p class="help capitalized">${help}</p>`}
    <div class="stepper">
      <button type="button" aria-label=${`${label}: ${least}`} disabled=${!empty && now <= min}
        onClick=${() => move(-step)}>−</button>
      <span class="mid">
        <input id=${id} inputmode="decimal" autocomplete="off" value=${value}
          style=${{ '--chars': Math.max(1, String(value).length) }}
          onInput=${(e) => onChange(e.target.value)} onFocus=${(e) => e.target.select()} />
        ${unit && html`<span class="unit">${unit}</span>`}</span>
      <button type="button" aria-label=${`${label}: ${most}`} disabled=${!empty && now >= max}
        onClick=${() => move(step)}>+</button>
    </div>
  </div>`;
}
