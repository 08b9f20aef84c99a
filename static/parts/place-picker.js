// Where a bag stands: one of the places, or a new one by its name.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { isHelper } from '../sync/hub-state.js';
import { record } from '../journal/journal.js';
import { Choice } from './choice.js';
import { Field } from './field.js';
import { ErrorBox } from './messages.js';
import { useAction } from './data-hooks.js';

/** PlacePicker offers places {id, name, text}; a new place is written at once. */
export function PlacePicker({ places, value, onChange, label = 'Where it stands' }) {
  const [name, setName] = useState(/** @type {string | null} */ (null));
  const [run, fault, busy] = useAction();
  const add = () =>
    run(async () => {
      if (name === null) return;
      const [id] = await call('id.new', { n: 1 });
      await record([{ scope: `place/${id}`, subject: id, kind: Kind.placeNamed, body: { name: name.trim() } }], {
        undo: `${name.trim()} added`,
      });
      setName(null);
      onChange(id);
    });
  return html`<div>
    <${Choice} label=${label} value=${value} onChange=${onChange} options=${[...places.map((p) => ({ value: p.id, words: p.name, detail: p.text })), { value: '', words: 'not said' }]} />
    ${
      isHelper.value
        ? null
        : name == null
          ? html`<button type="button" class="plain" onClick=${() => setName('')}>A new place</button>`
          : html`
      <${Field} label="Name of the place" placeholder="shed, kitchen, by the boiler" value=${name} onInput=${setName} />
      <div class="row" style=${{ marginTop: '.6rem' }}><button type="button" class="act two small" onClick=${() => setName(null)}>Never mind</button>
        <button type="button" class="act small" disabled=${busy || !name.trim()} onClick=${add}>Add the place</button></div>`
    }
    <${ErrorBox} fault=${fault} />
  </div>`;
}
