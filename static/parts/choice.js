// Choices as sets of large buttons; one button is selected.
import { html, capitalize, classes } from './html.js';
import { useId } from 'preact/hooks';

const longLabel = 16; // letters; longer options are in one column

/** Choice offers options {value, words, detail}; value is the value of the chosen option. */
export function Choice({ label, options, value, onChange, oneColumn, hideLabel }) {
  const name = useId();
  const hasOneColumn = oneColumn || options.some((o) => o.words.length > longLabel);
  return html`<fieldset class="field">
    <legend class=${classes('label', hideLabel && 'visually-hidden')}>${label}</legend>
    <div class=${classes('options', hasOneColumn && 'one-column')}>${options.map(
      (o) => html`<span class="option" key=${o.value}>
        <input type="radio" id=${name + o.value} name=${name} checked=${o.value === value}
          onChange=${() => onChange(o.value)} />
        <label for=${name + o.value}><span>${capitalize(o.words)}</span>
          ${o.detail && html`<small>${o.detail}</small>`}</label></span>`,
    )}</div>
  </fieldset>`;
}

/**
 * Chips are a few short options in a row, of which at most one is selected. An option may have a
 * name for screen readers, where its words are too short to stand alone.
 */
export const Chips = ({ label, options, value, onChange }) => html`<div class="field">
  <span class="label" id=${'c-' + label}>${label}</span>
  <div class="chips" role="group" aria-label=${label}>${options.map(
    (o) => html`<button type="button" class="chip" key=${o.value} aria-label=${o.name} aria-pressed=${o.value === value}
      onClick=${() => onChange(o.value === value ? '' : o.value)}>${o.words}</button>`,
  )}</div>
</div>`;
