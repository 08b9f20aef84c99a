// Sensors that report how warm a place is. A sensor is added with a token that is shown
// once, and can be removed.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { hub } from '../sync/hub-state.js';
import { restoreFacts, record } from '../journal/journal.js';
import { joinAddresses } from '../device/origin.js';
import { runOrShow, showToast } from '../device/toast.js';
import { Field } from './field.js';
import { Dialog } from './dialog.js';
import { ErrorBox } from './messages.js';
import { useAction } from './data-hooks.js';

/** Sensors lists the sensors of a place, {name, fact}, and adds one. */
export function Sensors({ id, list }) {
  const [adding, setAdding] = useState(false);
  const close = () => setAdding(false);
  const [run, fault, busy] = useAction();
  const remove = (s) =>
    run(async () => {
      await record([{ scope: `place/${id}`, subject: id, kind: Kind.factWithdrawn, body: { target: s.fact } }]);
      showToast(`${s.name} removed`, 'Undo', () => restoreFacts([s.fact]));
    });
  return html`<section><h2>Sensors</h2>
    ${list.length === 0 && html`<p class="sub">A small sensor in the home network can report how warm it is there.</p>`}
    <ul class="history">${list.map(
      (s) => html`<li key=${s.fact}><b class="capitalized">${s.name}</b>
        <button type="button" class="text-button" disabled=${busy} aria-label=${`Remove ${s.name}`}
          onClick=${() => remove(s)}>Remove</button></li>`,
    )}</ul>
    <${ErrorBox} fault=${fault} />
    <button type="button" class="text-button" onClick=${() => setAdding(true)}>Add a sensor</button>
    <${Dialog} open=${adding} onClose=${close} title="A sensor">
      <${NewSensor} id=${id} taken=${list.map((s) => s.name)} onDone=${close} /></${Dialog}>
  </section>`;
}

/** NewSensor asks for a name, and then shows the token once. */
function NewSensor({ id, taken, onDone }) {
  const [name, setName] = useState('');
  const [token, setToken] = useState('');
  const [run, fault, busy] = useAction();
  const isDuplicate = taken.includes(name.trim());
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      const newCode = await call('code.new');
      const body = { name: name.trim(), hash: newCode.hash || '' };
      await record([{ scope: `place/${id}`, subject: id, kind: Kind.placeSensed, body }], {
        undo: `${name.trim()} added`,
      });
      setToken(newCode.shown || '');
    });
  };
  if (token) return html`<${TokenDetails} name=${name.trim()} token=${token} onDone=${onDone} />`;
  return html`<form onSubmit=${save}>
    <${Field} label="Name of the sensor" help="its readings appear under this name" value=${name} onInput=${setName}
      placeholder="shed sensor" autofocus enterkeyhint="go"
      fault=${isDuplicate && { sentence: 'another sensor here has that name' }} />
    <${ErrorBox} fault=${fault} />
    <button class="button wide" disabled=${busy || isDuplicate || !name.trim()}>Add the sensor</button></form>`;
}

/** TokenDetails shows the token that the sensor needs, only once. */
function TokenDetails({ name, token, onDone }) {
  const address = `${joinAddresses(hub.value.network)[0] || location.origin}/api/v1/reading`;
  const quotedAddress = address.includes('[') ? `'${address}'` : address; // brackets have a meaning in a shell
  const command = `curl -H 'Authorization: Bearer ${token}' -d 18.5 ${quotedAddress}`;
  const copy = async (text) => {
    await navigator.clipboard.writeText(text);
    showToast('Copied');
  };
  const button = (text, words) =>
    navigator.clipboard &&
    html`<button type="button" class="button secondary small"
      onClick=${() => runOrShow(() => copy(text))}>${words}</button>`;
  return html`<div>
    <p class="body-text">The token of <b>${name}</b>. It is shown this once: put it into the sensor now.</p>
    <p class="token">${token}</p>${button(token, 'Copy the token')}
    <p class="body-text">The sensor sends °C, by plain http. This command does the same:</p>
    <p class="monospace">${command}</p>${button(command, 'Copy the command')}
    <p class="sub body-text">The program accepts readings after this phone’s next sync. Whoever has the token can send
      readings for this place, and nothing else. If you lose it, remove the sensor and add it again.</p>
    <button type="button" class="button wide" onClick=${onDone}>Done</button></div>`;
}
