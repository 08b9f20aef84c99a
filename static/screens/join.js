// Pair this phone: with a code from a phone that has access.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { exampleMode } from '../device/example-mode.js';
import { deviceKind, isInstalled } from '../device/origin.js';
import { defaultDeviceName } from '../device/settings.js';
import { batchView } from '../journal/views.js';
import { closeExample } from '../sync/example.js';
import { hub } from '../sync/hub-state.js';
import { pairPhone } from '../sync/phones.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Field } from '../parts/field.js';
import { Screen } from '../parts/screen.js';

export function Join({ code = '' }) {
  const [paired, setPaired] = useState(null);
  if (paired) return html`<${Paired} paired=${paired} />`;
  if (exampleMode) {
    const close = html`<button type="button" class="button" onClick=${closeExample}>Close the example</button>`;
    return html`<${Screen} activeTab="" back=${{ href: '/', words: 'Today' }} title="Pair this phone" actions=${close}
      sub="This is the example. Close it first." />`;
  }
  if (hub.value.role === 'owner') {
    const addPhoneLink = html`<a class="button" href="/phones">Add another phone</a>`;
    return html`<${Screen} activeTab="" back=${{ href: '/phone', words: 'This phone' }}
      title="This phone is paired" actions=${addPhoneLink}
      sub="It can see everything: every batch, every place, and which phones have access." />`;
  }
  return html`<${JoinForm} code=${code} onPaired=${setPaired} />`;
}

/** adviceFor says what pairing does for a phone in this state. */
function adviceFor({ role, wasPaired }) {
  if (role === 'helper') {
    return `Another batch’s code gives this phone access to that batch too. An invitation makes it a phone of
      the house.`;
  }
  if (role === 'out') {
    return 'This phone was removed. With a new code it has access again; what it wrote meanwhile is kept.';
  }
  if (wasPaired) {
    return `The hub no longer knows this phone: it was set up again, or from an old backup. Nothing is lost.
      Pair it again, and everything here is sent.`;
  }
  return `An invitation makes this a phone of the house: it sees and writes everything.
    A batch’s code gives it access to that batch only.`;
}

function JoinForm({ code, onPaired }) {
  const [typed, setTyped] = useState(code);
  const [name, setName] = useState(defaultDeviceName);
  const [run, fault, busy] = useAction();
  const submit = (e) => {
    e.preventDefault();
    run(async () => {
      const { code: read } = await call('code.parse', { typed });
      onPaired(await pairPhone(read, name.trim()));
      if (code) history.replaceState(history.state, '', '/join'); // the code does not stay in the address
    });
  };
  const codeFault = fault?.input === 'code' || fault?.code === 'refused' ? fault : null;
  const pair = html`<button class="button" form="pair" disabled=${busy || !typed.trim() || !name.trim()}>
    Pair this phone</button>`;
  return html`<${Screen} activeTab="" back=${{ href: '/phone', words: 'This phone' }} title="Pair this phone"
    actions=${pair}
    fault=${codeFault ? null : fault} sub=${adviceFor(hub.value)}>
    ${deviceKind === 'iphone' && !isInstalled && html`<${SafariNote} />`}
    <form id="pair" onSubmit=${submit}>
      <${Field} label="Code" help="8 digits, or the long code below a QR code" value=${typed} onInput=${setTyped}
        fault=${codeFault} placeholder="1234 5678" autofocus=${!code} enterkeyhint="go" />
      <${Field} label="Name of this phone" help="as others see it in the history" value=${name} onInput=${setName}
        enterkeyhint="go" />
    </form>
    <p class="note">A phone that has access can show a code: an invitation under Phones, or a batch’s code under
      Helpers in that batch. The computer that the hub runs on can show an invitation too.</p>
  </${Screen}>`;
}

const SafariNote = () => html`<div class="caution">
  <p>This is Safari. The app on the home screen keeps its own journal, and this page a different one:
    pair in the app.</p>
  <p>Tap Share, then “Add to Home Screen”, open it there, tap “Pair this phone” and type the code.</p>
</div>`;

/** nullIfNotFound returns null for a batch that has not arrived from the hub yet. */
function nullIfNotFound(err) {
  if (err.code !== 'not-found') throw err;
  return null;
}

/** Paired says what the phone can do now. */
function Paired({ paired }) {
  const isOwner = paired.you.role === 'owner';
  const loadBatch = () => (paired.batch ? batchView(paired.batch).catch(nullIfNotFound) : null);
  const { value: batch, fault } = useLiveData(loadBatch);
  const words = isOwner
    ? 'It is now one of the phones of this house. It gets all batches and places, and sends its own entries.'
    : `It helps with ${batch ? `“${batch.name}”` : 'one batch'}. It sees that batch and the places
      where its bags stand, and also works out of range.`;
  const next =
    isOwner || !paired.batch
      ? html`<a class="button" href="/">Go to Today</a>`
      : html`<a class="button" href=${`/batch/${paired.batch}`}>Go to the batch</a>`;
  return html`<${Screen} activeTab="" title="This phone is paired" tone="done" sub=${words} actions=${next}
    fault=${fault}>
    <p class="note">${hub.value.unsentCount ? 'Sending to the hub.' : 'This phone and the hub are in sync.'}</p>
  </${Screen}>`;
}
