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

/** Sensors lists those of a place, {name, fact}, and adds one. */
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
        <button type="button" class="plain" disabled=${busy} aria-label=${`Remove ${s.name}`}
          onClick=${() => remove(s)}>Remove</button></li>`,
    )}</ul>
    <${ErrorBox} fault=${fault} />
    <button type="button" class="plain" onClick=${() => setAdding(true)}>Add a sensor</button>
    <${Dialog} open=${adding} onClose=${close} title="A sensor">
      <${NewSensor} id=${id} taken=${list.map((s) => s.name)} done=${close} /></${Dialog}>
  </section>`;
}

/** NewSensor asks for a name, and then shows the token once. */
function NewSensor({ id, taken, done }) {
  const [name, setName] = useState('');
  const [token, setToken] = useState('');
  const [run, fault, busy] = useAction();
  const twice = taken.includes(name.trim());
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      const drawn = await call('code.new');
      const body = { name: name.trim(), hash: drawn.hash || '' };
      await record([{ scope: `place/${id}`, subject: id, kind: Kind.placeSensed, body }], {
        undo: `${name.trim()} added`,
      });
      setToken(drawn.shown || '');
    });
  };
  if (token) return html`<${Token} name=${name.trim()} token=${token} done=${done} />`;
  return html`<form onSubmit=${save}>
    <${Field} label="Name of the sensor" help="its readings appear under this name" value=${name} onInput=${setName}
      placeholder="shed sensor" autofocus enterkeyhint="go"
      wrong=${twice && { sentence: 'another sensor here has that name' }} />
    <${ErrorBox} fault=${fault} />
    <button class="act wide" disabled=${busy || twice || !name.trim()}>Add the sensor</button></form>`;
}

/** Token shows what the sensor needs, this once. */
function Token({ name, token, done }) {
  const address = `${joinAddresses(hub.value.network)[0] || location.origin}/api/v1/reading`;
  const quoted = address.includes('[') ? `'${address}'` : address; // a shell reads brackets as its own
  const line = `curl -H 'Authorization: Bearer ${token}' -d 18.5 ${quoted}`;
  const copy = async (text) => {
    await navigator.clipboard.writeText(text);
    showToast('Copied');
  };
  const button = (text, words) =>
    navigator.clipboard &&
    html`<button type="button" class="act secondary small"
      onClick=${() => runOrShow(() => copy(text))}>${words}</button>`;
  return html`<div>
    <p class="body-text">The token of <b>${name}</b>. It is shown this once: put it into the sensor now.</p>
    <p class="token">${token}</p>${button(token, 'Copy the token')}
    <p class="body-text">The sensor sends °C, by plain http. This line does the same:</p>
    <p class="monospace">${line}</p>${button(line, 'Copy the line')}
    <p class="sub body-text">The program accepts readings after this phone’s next sync. Whoever has the token can send
      readings for this place, and nothing else. If you lose it, remove the sensor and add it again.</p>
    <button type="button" class="act wide" onClick=${done}>It has the token</button></div>`;
}
