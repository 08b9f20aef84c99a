// Fields: the label above, what is accepted below, and what the core made of it.
import { html, capitalize, keepUnits } from './html.js';
import { useState, useEffect, useId, useRef } from 'preact/hooks';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';

const Presets = ({ list, value, onPick }) =>
  html`<div class="chips">${list.map(
    (p) => html`<button type="button" class="chip" key=${p} aria-pressed=${p === value}
      onClick=${() => onPick(p)}>${p}</button>`,
  )}</div>`;

/** Field is one line of text. */
export function Field({
  label,
  help,
  value,
  onInput,
  wrong,
  reads,
  type = 'text',
  inputmode,
  presets,
  placeholder,
  autofocus,
  autocomplete = 'off',
  enterkeyhint,
}) {
  const id = useId(),
    box = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => {
    if (autofocus) box.current?.select();
  }, []);
  return html`<div class="field">
    <label for=${id}>${label}</label>
    ${help && html`<p class="help capitalized" id=${id + 'h'}>${help}</p>`}
    <input id=${id} ref=${box} type=${type} inputmode=${inputmode} value=${value} placeholder=${placeholder}
      autocomplete=${autocomplete} autocapitalize="off" spellcheck=${false} enterkeyhint=${enterkeyhint}
      aria-invalid=${wrong ? 'true' : undefined} aria-describedby=${wrong ? id + 'w' : help ? id + 'h' : undefined}
      onInput=${(e) => onInput(e.target.value)} />
    ${reads && html`<p class="reads" aria-live="polite">${reads}</p>`}
    ${
      wrong &&
      html`<p class="wrong" id=${id + 'w'} role="alert">${capitalize(wrong.sentence)}
        ${wrong.hint && html`<small>${capitalize(wrong.hint)}</small>`}</p>`
    }
    ${presets?.length > 0 && html`<${Presets} list=${presets} value=${value} onPick=${onInput} />`}
  </div>`;
}

/**
 * useRead has the core read what was typed as one of the kinds and gives
 * {value, kind, text, other, fault}; an empty text gives nothing.
 */
export function useRead(kinds, typed) {
  const [got, set] = useState(/** @type {any} */ ({}));
  useEffect(() => {
    if (!typed.trim()) {
      set({});
      return;
    }
    let here = true;
    call('unit.parse', { kinds, typed, style: style.value }).then(
      (v) => here && set(v),
      (fault) => here && set({ fault }),
    );
    return () => {
      here = false;
    };
  }, [typed, kinds.join()]);
  return got;
}

/** Quantity is a field for a number with a unit; it shows how it was read. */
export function Quantity({ kinds, value, onRead, ...rest }) {
  const got = useRead(kinds, value);
  useEffect(() => {
    onRead?.(got);
  }, [got]);
  const same = got.text === value;
  const reads = got.text && (same ? got.other : [got.text, got.other].filter((t) => t && t !== value).join(' · '));
  return html`<${Field} ...${rest} value=${value} wrong=${got.fault}
    reads=${reads && `${same ? 'That is' : 'Read as'} ${keepUnits(reads)}`} />`;
}
