// A keypad with large keys, for wet gloves: a bag's number, with a phone's letter, or the id that is
// printed under the code.
import { html, classes } from './html.js';
import { Icon } from './icons.js';

const digits = [...'123456789'];
const all = [...'1234567890ABCDEFGHJKLMNPQRSTUVWXYZ']; // no label has an I or an O

/** groupID writes an id in groups, as it is printed. */
const groupID = (text) => (text.length > 5 ? text.replace(/^(.{4})(.{1,4})/, '$1-$2-').replace(/-$/, '') : text);

/** NumberPad is the keypad; value is what was typed so far, letters whether their keys are shown too. */
export function NumberPad({ value, onInput, letters, onLetters, onGo, busy }) {
  const key = (k) =>
    html`<button type="button" key=${k} onClick=${() => onInput((value + k).slice(0, 9))}>${k}</button>`;
  const other = html`<button type="button" class="swap" aria-label=${letters ? 'digits only' : 'letters'}
    onClick=${() => onLetters(!letters)}>${letters ? '123' : 'ABC'}</button>`;
  const go = html`<button type="button" class="go" disabled=${busy || !value} onClick=${onGo}>Show</button>`;
  const shown = classes('pad-shows', letters && 'id', value.length > 5 && 'long');
  return html`<div class="pad-top"><output class=${shown} aria-label="Typed so far">${groupID(value)}</output>
      <button type="button" class="plain" aria-label="delete" disabled=${!value}
        onClick=${() => onInput(value.slice(0, -1))}><${Icon} name="delete" /></button></div>
    <div class=${classes('pad', letters && 'all')} role="group" aria-label="Number or id of the bag">
      ${letters ? html`${all.map(key)}${other}${go}` : html`${digits.map(key)}${other}${key('0')}${go}`}</div>`;
}
