// Entries that a phone sent after it lost access, to the house or to a batch, or with a clock that
// is ahead: the hub keeps them apart until an owner accepts or rejects them.
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { acceptQuarantine, quarantinedFacts, rejectQuarantine, requeueRejected } from '../sync/phones.js';
import { useAction, useData } from './data-hooks.js';
import { countOf } from './hub-status.js';
import { ErrorBox } from './messages.js';
import { dateAndTime } from './time-text.js';

/** Quarantine shows them with the buttons that decide; again loads the phone afresh. */
export function Quarantine({ phone, again }) {
  const [open, setOpen] = useState(false);
  const [run, fault, busy] = useAction();
  const decide = (work) => () =>
    run(async () => {
      await work(phone.device);
      again();
    });
  const show = html`<button type="button" class="plain" onClick=${() => setOpen(true)}>Look at them</button>`;
  return html`<section>
    ${
      phone.held > 0 &&
      html`<h2>${countOf(phone.held, 'entry waits', 'entries wait')}</h2>
        <p class="sub">${whyQuarantined(phone)}</p>
        ${open ? html`<${QuarantinedLines} device=${phone.device} />` : show}`
    }
    <${ErrorBox} fault=${fault} />
    ${
      phone.held > 0 &&
      html`<div class="row">
        <button type="button" class="act secondary small" disabled=${busy}
          onClick=${decide(rejectQuarantine)}>Reject</button>
        <button type="button" class="act small" disabled=${busy} onClick=${decide(acceptQuarantine)}>Accept</button>
      </div>`
    }
    ${
      phone.left > 0 &&
      html`<button type="button" class="plain" disabled=${busy} onClick=${decide(requeueRejected)}>
        ${countOf(phone.left, 'entry was', 'entries were')} rejected:
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
