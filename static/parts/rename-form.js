// A form with one field for a name: of a batch, a place, a phone.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { useAction } from './data-hooks.js';
import { Field } from './field.js';
import { ErrorBox } from './messages.js';

/** RenameForm passes the new name to save, and calls onDone once that has succeeded. */
export function RenameForm({ name, save, onDone }) {
  const [text, setText] = useState(name);
  const [run, fault, busy] = useAction();
  const trimmed = text.trim();
  const submit = (e) => {
    e.preventDefault();
    run(async () => {
      await save(trimmed);
      onDone();
    });
  };
  return html`<form onSubmit=${submit}>
    <${Field} label="Name" value=${text} onInput=${setText} enterkeyhint="done" />
    <${ErrorBox} fault=${fault} />
    <button class="button wide" disabled=${busy || !trimmed || trimmed === name}>Save the name</button>
  </form>`;
}
