// A number field with buttons for less and more.
import { html, classes } from './html.js';
import { useId } from 'preact/hooks';

const parseNumber = (text) => Number(String(text).replace(',', '.'));
const countDecimals = (step) => (String(step).split('.')[1] || '').length;

/**
 * Stepper edits the text of a number, with its unit. The buttons change it by step, from min to
 * max. An empty field starts at start.
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
  lessLabel = 'less',
  moreLabel = 'more',
  hideLabel,
  start,
}) {
  const id = useId();
  const current = parseNumber(value);
  const isEmpty = !String(value).trim() || !Number.isFinite(current);
  const changeBy = (by) =>
    onChange(
      String(
        Number(Math.min(max, Math.max(min, isEmpty ? (start ?? min) : current + by)).toFixed(countDecimals(step))),
      ),
    );
  return html`<div class="field">
    <label for=${id} class=${classes(hideLabel && 'visually-hidden')}>${label}</label>
    ${help && html`<p class="help capitalized">${help}</p>`}
    <div class="stepper">
      <button type="button" aria-label=${`${label}: ${lessLabel}`} disabled=${!isEmpty && current <= min}
        onClick=${() => changeBy(-step)}>−</button>
      <span class="stepper-value">
        <input id=${id} inputmode="decimal" autocomplete="off" value=${value}
          style=${{ '--chars': Math.max(1, String(value).length) }}
          onInput=${(e) => onChange(e.target.value)} onFocus=${(e) => e.target.select()} />
        ${unit && html`<span class="unit">${unit}</span>`}</span>
      <button type="button" aria-label=${`${label}: ${moreLabel}`} disabled=${!isEmpty && current >= max}
        onClick=${() => changeBy(step)}>+</button>
    </div>
  </div>`;
}
