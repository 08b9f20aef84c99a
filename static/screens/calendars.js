// Calendars at home: addresses to which a phone, tablet or computer subscribes, so that its
// calendar follows the readings. Each has its own token, and can be removed.
import { Kind } from '../dist/constants.js';
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { homeAddress } from '../device/origin.js';
import { style } from '../device/settings.js';
import { runOrShow, showToast } from '../device/toast.js';
import { houseCalendars } from '../journal/house.js';
import { record, restoreFacts } from '../journal/journal.js';
import { hub, isHelper } from '../sync/hub-state.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { ErrorBox } from '../parts/messages.js';
import { QRCode } from '../parts/qr-code.js';
import { Screen } from '../parts/screen.js';

export function Calendars() {
  const { value: list, fault } = useLiveData(houseCalendars);
  const [isAdding, setAdding] = useState(false);
  const close = () => setAdding(false);
  const frame = { here: '', back: { href: '/phone', words: 'This phone' }, title: 'Calendars at home' };
  if (isHelper.value) return html`<${Screen} ...${frame} sub="Only a phone of the house opens calendars." />`;
  return html`<${Screen} ...${frame} fault=${fault}
    sub="A phone, tablet or computer subscribes to an address here, and its calendar moves with every reading."
    actions=${html`<button type="button" class="button" onClick=${() => setAdding(true)}>Open a calendar</button>`}>
    ${list?.length === 0 && html`<p class="body-text">None is open yet.</p>`}
    ${list && list.length > 0 && html`<${OpenCalendars} list=${list} />`}
    <p class="note">A calendar reads the address again when it likes: some every quarter of an hour, some once a day. It
      reaches the hub only at home. For a time that must not be missed, keep the app open, or add the bag to the
      calendar itself.</p>
    <${Dialog} open=${isAdding} onClose=${close} title="A calendar">
      <${NewCalendar} taken=${(list || []).map((c) => c.name)} done=${close} /></${Dialog}>
  </${Screen}>`;
}

/** OpenCalendars lists those that are open; removing one ends its address. */
function OpenCalendars({ list }) {
  const [run, fault, busy] = useAction();
  const remove = (c) =>
    run(async () => {
      await record([{ scope: 'house', kind: Kind.factWithdrawn, body: { target: c.fact } }]);
      showToast(`${c.name} removed`, 'Undo', () => restoreFacts([c.fact]));
    });
  return html`<section><h2>Open</h2><ul class="history">${list.map(
    (c) => html`<li key=${c.fact}><b class="capitalized">${c.name}</b>
      <button type="button" class="text-button" disabled=${busy} aria-label=${`Remove ${c.name}`}
        onClick=${() => remove(c)}>Remove</button></li>`,
  )}</ul><${ErrorBox} fault=${fault} /></section>`;
}

/** NewCalendar asks whose it is, and then shows its address once. */
function NewCalendar({ taken, done }) {
  const [name, setName] = useState('');
  const [token, setToken] = useState('');
  const [run, fault, busy] = useAction();
  const isTaken = taken.includes(name.trim());
  const open = (e) => {
    e.preventDefault();
    run(async () => {
      const drawn = await call('code.new');
      const body = { name: name.trim(), hash: drawn.hash || '' };
      await record([{ scope: 'house', kind: Kind.calendarOpened, body }], { undo: `${name.trim()} opened` });
      setToken((drawn.shown || '').replaceAll('-', ''));
    });
  };
  if (token) return html`<${Address} name=${name.trim()} token=${token} done=${done} />`;
  return html`<form onSubmit=${open}>
    <${Field} label="Whose calendar" help="so that you know which to remove" value=${name} onInput=${setName}
      placeholder="kitchen tablet" autofocus enterkeyhint="go"
      wrong=${isTaken && { sentence: 'another calendar here has that name' }} />
    <${ErrorBox} fault=${fault} />
    <button class="button wide" disabled=${busy || isTaken || !name.trim()}>Open the calendar</button></form>`;
}

/** Address shows the address of a calendar, this once: for who trusts the hub's certificate, and without it. */
function Address({ name, token, done }) {
  const path = `/api/v1/calendar/${token}.ics${style.value.clock12 ? '?clock12=1' : ''}`;
  const secure = (homeAddress(hub.value.network) || location.origin) + path;
  const { host, http } = hub.value.network || {};
  const plain = host && http ? `http://${host}:${http}` : '';
  // A calendar app reads webcal as http: from memory.
  const subscribe = (plain ? plain + path : secure).replace(/^https?/, 'webcal');
  const copy = async (text) => {
    await navigator.clipboard.writeText(text);
    showToast('Copied');
  };
  const copyButton = (text) =>
    navigator.clipboard &&
    html`<button type="button" class="button secondary small"
      onClick=${() => runOrShow(() => copy(text))}>Copy the address</button>`;
  return html`<div>
    <p class="body-text">The address of <b>${name}</b>. It is shown this once: subscribe to it now. It works after this
      phone’s next sync.</p>
    <${QRCode} text=${secure} label=${`Code with the address of ${name}`} />
    <p class="monospace">${secure}</p>${copyButton(secure)}
    <a class="button secondary small" href=${subscribe}>Open it in this phone’s calendar</a>
    ${
      plain &&
      html`<p class="sub body-text">For a computer that does not trust the hub’s certificate:</p>
      <p class="monospace">${plain + path}</p>${copyButton(plain + path)}`
    }
    <p class="sub body-text">Whoever has the address sees when which bag is ready, and nothing else. Anyone who
      listens in your home network can read the second address as it is used.</p>
    <button type="button" class="button wide" onClick=${done}>It is subscribed</button></div>`;
}
