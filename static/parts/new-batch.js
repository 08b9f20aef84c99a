// A new batch takes one field, which is filled in already, and one tap.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { signal } from '@preact/signals';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { navigate } from '../device/router.js';
import { Field } from './field.js';
import { Dialog } from './dialog.js';
import { ErrorBox } from './messages.js';
import { useAction } from './data-hooks.js';

const isOpen = signal(false);

/** openNewBatch shows the sheet of the screen that holds a NewBatch. */
export const openNewBatch = () => {
  isOpen.value = true;
};

const suggestion = () =>
  `${new Intl.DateTimeFormat('en-GB', { weekday: 'long', day: 'numeric', month: 'long' }).format(Date.now())}`.replace(
    ',',
    '',
  );

export function NewBatch() {
  useEffect(
    () => () => {
      isOpen.value = false;
    },
    [],
  ); // left with the sheet open, the screen comes back without it
  return html`<${Dialog} open=${isOpen.value} onClose=${() => {
    isOpen.value = false;
  }} title="New batch"><${Form} /></${Dialog}>`;
}

function Form() {
  const [name, setName] = useState(suggestion);
  const [run, fault, busy] = useAction();
  const start = (e) => {
    e.preventDefault();
    run(async () => {
      const [id, secret] = await call('id.new', { n: 2 });
      await record(
        [{ scope: `batch/${id}`, subject: id, kind: Kind.batchStarted, body: { name: name.trim(), secret } }],
        { undo: 'Batch started' },
      );
      isOpen.value = false;
      navigate(`/batch/${id}/pieces`);
    });
  };
  return html`<form onSubmit=${start}>
    <${Field} label="Name" value=${name} onInput=${setName} enterkeyhint="go" />
    <${ErrorBox} fault=${fault} />
    <button class="act wide" disabled=${busy || !name.trim()}>Start the batch</button>
  </form>`;
}
