// Pair this phone: with a code from a phone that is in.
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { hub } from '../sync/hub-state.js';
import { exampleMode } from '../device/example-mode.js';
import { closeExample } from '../sync/example.js';
import { pairPhone } from '../sync/phones.js';
import { isInstalled, deviceKind } from '../device/origin.js';
import { defaultDeviceName } from '../device/settings.js';
import { batchView } from '../journal/views.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Field } from '../parts/field.js';

export function Join({ code = '' }) {
  const [done, set] = useState(null);
  if (done) return html`<${Done} paired=${done} />`;
  if (exampleMode)
    return html`<${Screen} here="" back=${{ href: '/', words: 'Today' }} title="Pair this phone" sub="This is the example. Leave it first." acts=${html`<button type="button" class="act" onClick=${closeExample}>Leave the example</button>`} />`;
  if (hub.value.role === 'owner')
    return html`<${Screen} here="" back=${{ href: '/phone', words: 'This phone' }} title="This phone is in" sub="It keeps the house: every batch, every place, and who is let in." acts=${html`<a class="act" href="/phones">Let another phone in</a>`} />`;
  return html`<${Form} code=${code} done=${set} />`;
}

/** what pairing does to a phone that stands so with the hub */
const before = {
  helper: 'Another batch’s code lets this phone into that batch too. An invitation makes it a phone of the house.',
  out: 'This phone is let in no more. With a new code it is in again; what it wrote meanwhile is kept.',
};

function Form({ code, done }) {
  const [typed, type] = useState(code);
  const [name, call_] = useState(defaultDeviceName);
  const [run, fault, busy] = useAction();
  const now = hub.value;
  const safari = deviceKind === 'iphone' && !isInstalled;
  const send = (e) => {
    e.preventDefault();
    run(async () => {
      const { code: read } = await call('code.parse', { typed });
      done(await pairPhone(read, name.trim()));
      if (code) history.replaceState(history.state, '', '/join'); // the code does not stay in the address
    });
  };
  const wrong = fault?.input === 'code' || fault?.code === 'refused' ? fault : null;
  return html`<${Screen} here="" back=${{ href: '/phone', words: 'This phone' }} title="Pair this phone" fault=${wrong ? null : fault}
    sub=${
      before[now.role] ||
      (now.was
        ? 'The hub does not know this phone any more: it was set up anew, or from an old copy. Nothing is lost. Pair it again, and all that is here is sent.'
        : 'An invitation makes this a phone of the house: it sees and writes everything. A batch’s code lets it into that batch alone.')
    }
    acts=${html`<button class="act" form="pair" disabled=${busy || !typed.trim() || !name.trim()}>Pair this phone</button>`}>
    ${
      safari &&
      html`<div class="caution"><p>This is Safari. The app on the home screen keeps its own journal, and this page a different one: pair in the app.</p>
      <p>Tap Share, then “Add to Home Screen”, open it there, tap “Pair this phone” and type the code.</p></div>`
    }
    <form id="pair" onSubmit=${send}>
      <${Field} label="Code" help="8 digits, or the long code below a QR code" value=${typed} onInput=${type} wrong=${wrong} placeholder="1234 5678" autofocus=${!code} enterkeyhint="go" />
      <${Field} label="Name of this phone" help="as others see it in the history" value=${name} onInput=${call_} enterkeyhint="go" />
    </form>
    <p class="note">A phone that is in shows a code: under Phones an invitation, in a batch under Helpers that batch’s. The computer that the hub runs on can, too.</p>
  </${Screen}>`;
}

/** Done says what the phone may do now. */
function Done({ paired }) {
  const owner = paired.you.role === 'owner';
  const { value: batch } = useLiveData(() => (paired.batch ? batchView(paired.batch).catch(() => null) : null));
  const words = owner
    ? 'It is a phone of the house. All batches and places come to it now, and what it wrote goes to the hub.'
    : `It helps with ${batch ? `“${batch.name}”` : 'one batch'}. It sees that batch and the places its bags stand in, and works out of reach, too.`;
  return html`<${Screen} here="" title="This phone is in" tone="done" sub=${words}
    acts=${owner || !paired.batch ? html`<a class="act" href="/">To today</a>` : html`<a class="act" href=${`/batch/${paired.batch}`}>To the batch</a>`}>
    <p class="note">${capitalize(hub.value.waiting ? 'the exchange with the hub is under way.' : 'this phone and the hub agree.')}</p>
  </${Screen}>`;
}
