// Entries that a phone sent after it was let out, of the house or of a batch, or by a
// clock that is ahead: they wait for the owner.
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { acceptQuarantine, rejectQuarantine, quarantinedFacts, requeueRejected } from '../sync/phones.js';
import { useData, useAction } from './data-hooks.js';
import { ErrorBox } from './messages.js';
import { countOf } from './hub-status.js';
import { dateAndTime } from './time-text.js';

/** Quarantine shows them and lets the owner take them in, or not, or think better of it; again loads the phone anew. */
export function Quarantine({ phone, again }) {
  const [open, show] = useState(false);
  const [run, fault, busy] = useAction();
  const end = (work) => () =>
    run(async () => {
      await work(phone.device);
      again();
    });
  const back =
    phone.left > 0 &&
    html`<button type="button" class="plain" disabled=${busy} onClick=${end(requeueRejected)}>${countOf(phone.left, 'entry was', 'entries were')} left out: call ${phone.left === 1 ? 'it' : 'them'} back</button>`;
  if (!phone.held) return html`<section><${ErrorBox} fault=${fault} />${back}</section>`;
  return html`<section><h2>${countOf(phone.held, 'entry waits', 'entries wait')}</h2><p class="sub">${whyQuarantined(phone)}</p>
    ${open ? html`<${Lines} device=${phone.device} />` : html`<button type="button" class="plain" onClick=${() => show(true)}>Look at them</button>`}
    <${ErrorBox} fault=${fault} />
    <div class="row"><button type="button" class="act two small" disabled=${busy} onClick=${end(rejectQuarantine)}>Leave them out</button>
      <button type="button" class="act small" disabled=${busy} onClick=${end(acceptQuarantine)}>Take them in</button></div>${back}</section>`;
}

function whyQuarantined({ role, revoked }) {
  if (revoked.length) return 'Sent after this phone was let out.';
  if (role === 'helper') return 'Sent for a batch that this phone helps with no more, or by a clock that is ahead.';
  return 'Sent after this phone was let out, or by a clock that is ahead.';
}

function Lines({ device }) {
  const { value: lines, fault } = useData(() => quarantinedFacts(device));
  return html`<div><${ErrorBox} fault=${fault} /><ol class="history">${lines?.map((l) => html`<li key=${l.id}><span><b>${capitalize(l.doc || 'an entry of a newer version')}</b><span class="sub">${[l.batch, dateAndTime(l.at)].filter(Boolean).join(' · ')}</span></span></li>`)}</ol></div>`;
}
