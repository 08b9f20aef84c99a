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
  const frame = { activeTab: '', back: { href: '/phone', words: 'This phone' }, title: 'Calendars at home' };
  if (isHelper.value) return html`<${Screen} ...${frame} sub="Only the owner’s phones can add calendars." />`;
  return html`<${Screen} ...${frame} fault=${fault}
    sub="Subscribe to an address from a phone, tablet or computer: its calendar updates with every reading."
    actions=${html`<button type="button" class="button" onClick=${() => setAdding(true)}>Add a calendar</button>`}>
    ${list?.length === 0 && html`<p class="body-text">No calendars yet.</p>`}
    ${list && list.length > 0 && html`<${OpenCalendars} list=${list} />`}
    <p class="note">How often it updates is up to the calendar app: every 15 minutes to once a day. It reaches
      the hub only at home. For a time that must not be missed, keep the app open, or add the bag to the
      calendar itself.</p>
    <${Dialog} open=${isAdding} onClose=${close} title="New calendar">
      <${NewCalendar} usedNames=${(list || []).map((c) => c.name)} done=${close} /></${Dialog}>
  </${Screen}>`;
}

/** OpenCalendars lists the calendars that are open; removing a calendar ends its address. */
function OpenCalendars({ list }) {
  const [run, fault, busy] = useAction();
  const remove = (c) =>
    run(async () => {
      await record([{ scope: 'house', kind: Kind.factWithdrawn, body: { target: c.fact } }]);
      showToast(`${c.name} removed`, 'Undo', () => restoreFacts([c.fact]));
    });
  return html`<section><h2>Your calendars</h2><ul class="history">${list.map(
    (c) => html`<li key=${c.fact}><b class="capitalized">${c.name}</b>
      <button type="button" class="text-button" disabled=${busy} aria-label=${`Remove ${c.name}`}
        onClick=${() => remove(c)}>Remove</button></li>`,
  )}</ul><${ErrorBox} fault=${fault} /></section>`;
}

/** NewCalendar asks whose it is, and then shows its address once. */
function NewCalendar({ usedNames, done }) {
  const [name, setName] = useState('');
  const [token, setToken] = useState('');
  const [run, fault, busy] = useAction();
  const isTaken = usedNames.includes(name.trim());
  const open = (e) => {
    e.preventDefault();
    run(async () => {
      const newCode = await call('code.new');
      const body = { name: name.trim(), hash: newCode.hash || '' };
      await record([{ scope: 'house', kind: Kind.calendarOpened, body }], { undo: `${name.trim()} added` });
      setToken((newCode.shown || '').replaceAll('-', ''));
    });
  };
  if (token) return html`<${Address} name=${name.trim()} token=${token} done=${done} />`;
  return html`<form onSubmit=${open}>
    <${Field} label="Whose calendar" help="so you know which one to remove" value=${name} onInput=${setName}
      placeholder="kitchen tablet" autofocus enterkeyhint="go"
      fault=${isTaken && { sentence: 'another calendar here has that name' }} />
    <${ErrorBox} fault=${fault} />
    <button class="button wide" disabled=${busy || isTaken || !name.trim()}>Add the calendar</button></form>`;
}

/** Address shows the address of a calendar, this once: with the hub's certificate, and without it. */
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
    <p class="body-text">This is the only time the address of <b>${name}</b> is shown: subscribe now. It works
      after this phone’s next sync.</p>
    <${QRCode} text=${secure} label=${`Code with the address of ${name}`} />
    <p class="monospace">${secure}</p>${copyButton(secure)}
    <a class="button secondary small" href=${subscribe}>Open it in this phone’s calendar</a>
    ${
      plain &&
      html`<p class="sub body-text">For a computer that does not trust the hub’s certificate:</p>
      <p class="monospace">${plain + path}</p>${copyButton(plain + path)}`
    }
    <p class="sub body-text">Anyone with the address can see when each bag is ready, and nothing else. Anyone who
      listens in on your home network can read the second address.</p>
    <button type="button" class="button wide" onClick=${done}>Done</button></div>`;
}
