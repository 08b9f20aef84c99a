// Input fields, with a label, help, an error, and how the core read the input.
import { html, capitalize, keepUnits } from './html.js';
import { useState, useEffect, useId, useRef } from 'preact/hooks';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';

const Presets = ({ label, list, value, onPick }) =>
  html`<div class="chips" role="group" aria-label=${label}>${list.map(
    (p) => html`<button type="button" class="chip" key=${p} aria-pressed=${p === value}
      onClick=${() => onPick(p)}>${keepUnits(p)}</button>`,
  )}</div>`;

/** Field is one line of text. */
export function Field({
  label,
  help,
  value,
  onInput,
  fault,
  readText,
  type = 'text',
  inputmode,
  presets,
  placeholder,
  autofocus,
  autocomplete = 'off',
  enterkeyhint,
}) {
  const id = useId(),
    inputRef = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => {
    if (autofocus) inputRef.current?.select();
  }, []);
  return html`<div class="field">
    <label for=${id}>${label}</label>
    ${help && html`<p class="help capitalized" id=${id + 'h'}>${help}</p>`}
    <input id=${id} ref=${inputRef} type=${type} inputmode=${inputmode} value=${value} placeholder=${placeholder}
      autocomplete=${autocomplete} autocapitalize="off" spellcheck=${false} enterkeyhint=${enterkeyhint}
      aria-invalid=${fault ? 'true' : undefined} aria-describedby=${fault ? id + 'w' : help ? id + 'h' : undefined}
      onInput=${(e) => onInput(e.target.value)} />
    ${readText && html`<p class="field-reading" aria-live="polite">${readText}</p>`}
    ${
      fault &&
      html`<p class="field-error" id=${id + 'w'} role="alert">${capitalize(fault.sentence)}
        ${fault.hint && html`<small>${capitalize(fault.hint)}</small>`}</p>`
    }
    ${presets?.length > 0 && html`<${Presets} label=${label} list=${presets} value=${value} onPick=${onInput} />`}
  </div>`;
}

/**
 * useRead lets the core read the typed text as one of the kinds and gives
 * {value, kind, text, other, fault}; an empty text returns nothing.
 */
export function useRead(kinds, typed) {
  const [reading, setReading] = useState(/** @type {any} */ ({}));
  useEffect(() => {
    if (!typed.trim()) {
      setReading({});
      return;
    }
    let isCurrent = true;
    call('unit.parse', { kinds, typed, style: style.value }).then(
      (v) => isCurrent && setReading(v),
      (fault) => isCurrent && setReading({ fault }),
    );
    return () => {
      isCurrent = false;
    };
  }, [typed, kinds.join()]);
  return reading;
}

/** Quantity is a field for a number with a unit; it shows how it was read. */
export function Quantity({ kinds, value, onRead, ...rest }) {
  const reading = useRead(kinds, value);
  useEffect(() => {
    onRead?.(reading);
  }, [reading]);
  const isSame = reading.text === value;
  const readText =
    reading.text &&
    (isSame ? reading.other : [reading.text, reading.other].filter((t) => t && t !== value).join(' · '));
  return html`<${Field} ...${rest} value=${value} fault=${reading.fault}
    readText=${readText && `${isSame ? 'That is' : 'Read as'} ${keepUnits(readText)}`} />`;
}
