// Entries that a phone sent after it lost access, to the house or to a batch, or with a clock that
// is ahead: the hub keeps them apart until an owner accepts or rejects them.
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { acceptQuarantine, quarantinedFacts, rejectQuarantine, requeueRejected } from '../sync/phones.js';
import { useAction, useData } from './data-hooks.js';
import { countText } from './hub-status.js';
import { ErrorBox } from './messages.js';
import { dateAndTime } from './time-text.js';

/** Quarantine shows these entries with buttons to accept or reject them; reload loads the phone again. */
export function Quarantine({ phone, reload }) {
  const [open, setOpen] = useState(false);
  const [run, fault, busy] = useAction();
  const decide = (work) => () =>
    run(async () => {
      await work(phone.device, phone.held);
      reload();
    });
  const show = html`<button type="button" class="text-button" onClick=${() => setOpen(true)}>Look at them</button>`;
  return html`<section>
    ${
      phone.held > 0 &&
      html`<h2>${countText(phone.held, 'entry waits', 'entries wait')}</h2>
        <p class="sub">${whyQuarantined(phone)}</p>
        ${open ? html`<${QuarantinedLines} device=${phone.device} />` : show}`
    }
    <${ErrorBox} fault=${fault} />
    ${
      phone.held > 0 &&
      html`<div class="row">
        <button type="button" class="button secondary small" disabled=${busy}
          onClick=${decide(rejectQuarantine)}>Reject</button>
        <button type="button" class="button small" disabled=${busy} onClick=${decide(acceptQuarantine)}>Accept</button>
      </div>`
    }
    ${
      phone.left > 0 &&
      html`<button type="button" class="text-button" disabled=${busy} onClick=${decide(requeueRejected)}>
        ${countText(phone.left, 'entry was', 'entries were')} rejected:
          bring ${phone.left === 1 ? 'it' : 'them'} back</button>`
    }
  </section>`;
}

function whyQuarantined({ role, revoked }) {
  if (revoked.length) return 'Sent after this phone was removed.';
  if (role === 'helper') return 'Sent for a batch that this phone no longer helps with, or with a clock that is ahead.';
  return 'Sent after this phone was removed, or with a clock that is ahead.';
}

function QuarantinedLines({ device }) {
  const { value: lines, fault } = useData(() => quarantinedFacts(device));
  return html`<div><${ErrorBox} fault=${fault} /><ol class="history">${lines?.map(
    (l) => html`<li key=${l.id}><span><b>${capitalize(l.doc || 'an entry of a newer version')}</b>
      <span class="sub">${[l.batch, dateAndTime(l.at)].filter(Boolean).join(' · ')}</span></span></li>`,
  )}</ol></div>`;
}
