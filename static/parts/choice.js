// A choice is a set of big buttons: one of them, or any of them.
import { html, capitalize, classes } from './html.js';
import { useId } from 'preact/hooks';

const longLabel = 16; // letters from which options lie one below the other

/** Choice offers options {value, words, detail}; value is the one that is chosen. */
export function Choice({ label, options, value, onChange, one, hidden }) {
  const name = useId();
  return html`<fieldset class="field">
    <legend class=${classes('label', hidden && 'aside')}>${label}</legend>
    <div class=${classes('picks', (one || options.some((o) => o.words.length > longLabel)) && 'one')}>${options.map(
      (o) => html`<span class="pick" key=${o.value}>
        <input type="radio" id=${name + o.value} name=${name} checked=${o.value === value}
          onChange=${() => onChange(o.value)} />
        <label for=${name + o.value}><span>${capitalize(o.words)}</span>
          ${o.detail && html`<small>${o.detail}</small>`}</label></span>`,
    )}</div>
  </fieldset>`;
}

/** Chips are few short words, of which one is pressed. */
export const Chips = ({ label, options, value, onChange }) => html`<div class="field">
  <span class="label" id=${'c-' + label}>${label}</span>
  <div class="chips" role="group" aria-label=${label}>${options.map(
    (o) => html`<button type="button" class="chip" key=${o.value} aria-pressed=${o.value === value}
      onClick=${() => onChange(o.value === value ? '' : o.value)}>${o.words}</button>`,
  )}</div>
</div>`;
