// A number field with buttons for less and more.
import { html, classes } from './html.js';
import { useEffect, useId, useRef } from 'preact/hooks';

const parseNumber = (text) => Number(String(text).replace(',', '.'));
const countDecimals = (step) => (String(step).split('.')[1] || '').length;

/**
 * Stepper edits the text of a number, with its unit. The buttons change it by step, from min to
 * max, again and again while they are held down. An empty field starts at start.
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
  const renderButton = (sign, by, words, isAtEnd) => html`<${StepButton} label=${`${label}: ${words}`} sign=${sign}
      disabled=${!isEmpty && isAtEnd} onStep=${() => changeBy(by)} />`;
  return html`<div class="field">
    <label for=${id} class=${classes(hideLabel && 'visually-hidden')}>${label}</label>
    ${help && html`<p class="help capitalized">${help}</p>`}
    <div class="stepper">
      ${renderButton('−', -step, lessLabel, current <= min)}
      <span class="stepper-value">
        <input id=${id} inputmode="decimal" autocomplete="off" aria-label=${unit ? `${label}, ${unit}` : undefined}
          value=${value} style=${{ '--chars': Math.max(1, String(value).length) }}
          onInput=${(e) => onChange(e.target.value)} onFocus=${(e) => e.target.select()} />
        ${unit && html`<span class="unit">${unit}</span>`}</span>
      ${renderButton('+', step, moreLabel, current >= max)}
    </div>
  </div>`;
}

const holdTime = 500; // ms until a button that is held down repeats (judgement, like the next)
const repeatTime = 120; // ms from one repetition to the next

/** StepButton does a step when it is tapped, and more while it is held down. */
function StepButton({ label, sign, disabled, onStep }) {
  const step = useRef(onStep);
  step.current = onStep;
  const timer = useRef(0);
  const wasHeld = useRef(false); // the click at the end of a hold is no step
  const stop = () => clearTimeout(timer.current);
  const start = ({ currentTarget: button, button: pressed }) => {
    if (pressed !== 0) return; // a mouse's other buttons
    const repeat = () => {
      if (!button.isConnected || button.disabled) return;
      wasHeld.current = true;
      step.current();
      timer.current = setTimeout(repeat, repeatTime);
    };
    stop();
    wasHeld.current = false;
    timer.current = setTimeout(repeat, holdTime);
  };
  useEffect(() => stop, []);
  const click = ({ detail }) => {
    if (!wasHeld.current || detail === 0) onStep(); // 0 is a key or a screen reader
    wasHeld.current = false;
  };
  return html`<button type="button" aria-label=${label} disabled=${disabled} onClick=${click} onPointerDown=${start}
    onPointerUp=${stop} onPointerLeave=${stop} onPointerCancel=${stop}
    onContextMenu=${(e) => e.preventDefault()}>${sign}</button>`;
}
