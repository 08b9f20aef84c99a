// The form for a new batch: one field, already filled in, and one tap.
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

/** openNewBatch opens the dialog on a screen that contains NewBatch. */
export const openNewBatch = () => {
  isOpen.value = true;
};

const suggestName = () =>
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
  ); // if the person leaves with the dialog open, it is closed when the screen is shown again
  return html`<${Dialog} open=${isOpen.value} onClose=${() => {
    isOpen.value = false;
  }} title="New batch"><${NewBatchForm} /></${Dialog}>`;
}

function NewBatchForm() {
  const [name, setName] = useState(suggestName);
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
    <button class="button wide" disabled=${busy || !name.trim()}>Start the batch</button>
  </form>`;
}
