// Adds a place by its name.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { useAction } from './data-hooks.js';
import { Field } from './field.js';
import { ErrorBox } from './messages.js';

/** PlaceNameForm records a new place and passes its id to onAdd; if cancel is given, there is a Cancel button. */
export function PlaceNameForm({ onAdd, cancel, autofocus }) {
  const [text, setText] = useState('');
  const [run, fault, busy] = useAction();
  const name = text.trim();
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      const [id] = await call('id.new', { n: 1 });
      const draft = { scope: `place/${id}`, subject: id, kind: Kind.placeNamed, body: { name } };
      await record([draft], { undo: `${name} added` });
      onAdd(id);
    });
  };
  const add = html`<button class=${cancel ? 'button small' : 'button wide'}
    disabled=${busy || !name}>Add the place</button>`;
  return html`<form onSubmit=${save}>
    <${Field} label="Name of the place" value=${text} onInput=${setText} placeholder="shed, kitchen, by the boiler"
      autofocus=${autofocus} enterkeyhint="go" />
    <${ErrorBox} fault=${fault} />
    ${
      cancel
        ? html`<div class="row spaced">
            <button type="button" class="button secondary small" onClick=${cancel}>Cancel</button>${add}</div>`
        : add
    }
  </form>`;
}
