// Asks where a bag stands: one of the places, or a new one.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { isHelper } from '../sync/hub-state.js';
import { Choice } from './choice.js';
import { PlaceNameForm } from './place-name-form.js';

/** PlacePicker offers places {id, name, text}; a new place is recorded at once. */
export function PlacePicker({ places, value, onChange, label = 'Where it stands' }) {
  const [adding, setAdding] = useState(false);
  const options = places.map((p) => ({ value: p.id, words: p.name, detail: p.text }));
  const pickNew = (id) => {
    setAdding(false);
    onChange(id);
  };
  const addButton = html`<button type="button" class="text-button"
    onClick=${() => setAdding(true)}>A new place</button>`;
  const form = html`<${PlaceNameForm} onAdd=${pickNew} cancel=${() => setAdding(false)} />`;
  return html`<div>
    <${Choice} label=${label} value=${value} onChange=${onChange}
      options=${[...options, { value: '', words: 'not set' }]} />
    ${!isHelper.value && (adding ? form : addButton)}
  </div>`;
}
