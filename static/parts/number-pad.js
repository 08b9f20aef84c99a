// A keypad with large keys, for wet gloves: a bag's number, with a phone's letter, or the id that is
// printed under the code; or an amount, with a decimal sign.
import { html, classes } from './html.js';
import { style } from '../device/settings.js';
import { Icon } from './icons.js';

const digitKeys = [...'123456789'];
const allKeys = [...'1234567890ABCDEFGHJKLMNPQRSTUVWXYZ']; // no label has an I or an O

/** groupID writes an id in groups, as on the label. */
const groupID = (text) => (text.length > 5 ? text.replace(/^(.{4})(.{1,4})/, '$1-$2-').replace(/-$/, '') : text);

/** NumberPad is the keypad; value is what was typed so far, showsLetters whether it also has letter keys. */
export function NumberPad({ value, onInput, showsLetters, onShowLetters, onGo, busy }) {
  const renderKey = (k) =>
    html`<button type="button" key=${k} onClick=${() => onInput((value + k).slice(0, 9))}>${k}</button>`;
  const switchKey = html`<button type="button" class="switch-key" aria-label=${showsLetters ? 'digits only' : 'letters'}
    onClick=${() => onShowLetters(!showsLetters)}>${showsLetters ? '123' : 'ABC'}</button>`;
  const goKey = html`<button type="button" class="go-key" disabled=${busy || !value} onClick=${onGo}>Show</button>`;
  const outputClasses = classes('pad-output', showsLetters && 'id', value.length > 5 && 'long');
  return html`<div class="pad-display">
      <output class=${outputClasses} aria-label="Typed so far">${groupID(value)}</output>
      <button type="button" class="text-button" aria-label="delete" disabled=${!value}
        onClick=${() => onInput(value.slice(0, -1))}><${Icon} name="delete" /></button></div>
    <div class=${classes('pad', showsLetters && 'all-keys')} role="group" aria-label="Number or id of the bag">
      ${
        showsLetters
          ? html`${allKeys.map(renderKey)}${switchKey}${goKey}`
          : html`${digitKeys.map(renderKey)}${switchKey}${renderKey('0')}${goKey}`
      }</div>`;
}

/**
 * Keys are the keypad alone, for a field of its own that shows what was typed and brings up no keyboard
 * (inputmode none). sign is the decimal sign, where a fraction may be typed; letters add those of a phone.
 */
export function Keys({ label, value, onInput, sign = '', letters = false }) {
  const add = (k) => (k === sign && value.includes(sign) ? value : (value + k).slice(0, 9));
  const key = (k) => html`<button type="button" key=${k} onClick=${() => onInput(add(k))}>${k}</button>`;
  const erase = html`<button type="button" aria-label="delete" disabled=${!value}
    onClick=${() => onInput(value.slice(0, -1))}><${Icon} name="delete" /></button>`;
  const rows = [...digitKeys.slice(0, 3).map(key), erase, ...digitKeys.slice(3, 6).map(key)];
  const last = [sign ? key(sign) : html`<span></span>`, ...digitKeys.slice(6).map(key), key('0')];
  return html`<div class=${classes('pad low', letters && 'all-keys')} role="group" aria-label=${label}>
    ${letters ? [...allKeys.map(key), erase] : [...rows, ...last]}</div>`;
}

/** decimalSign is what the person types between whole and part. */
export const decimalSign = () => (style.value.comma ? ',' : '.');
