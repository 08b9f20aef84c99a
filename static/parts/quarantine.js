// Entries that a phone sent after it was let out, of the house or of a batch: they
// wait for the owner.
import { html, first } from './html.js';
import { useState } from 'preact/hooks';
import { acceptHeld, discardHeld, held, recallHeld } from '../sync/phones.js';
import { useAsk, useDo } from './data-hooks.js';
import { Wrong } from './messages.js';
import { many } from './hub-status.js';
import { moment } from './time-text.js';

/** Held shows them and lets the owner take them in, or not, or think better of it; again loads the phone anew. */
export function Held({ phone, again }) {
  const [open, show] = useState(false);
  const [run, fault, busy] = useDo();
  const end = (work) => () =>
    run(async () => {
      await work(phone.device);
      again();
    });
  const back =
    phone.left > 0 &&
    html`<button type="button" class="plain" disabled=${busy} onClick=${end(recallHeld)}>${many(phone.left, 'entry was', 'entries were')} left out: call ${phone.left === 1 ? 'it' : 'them'} back</button>`;
  if (!phone.held) return html`<section><${Wrong} fault=${fault} />${back}</section>`;
  return html`<section><h2>${many(phone.held, 'entry waits', 'entries wait')}</h2><p class="sub">${phone.role === 'helper' && !phone.revoked.length ? 'Sent for a batch that this phone helps with no more.' : 'Sent after this phone was let out.'}</p>
    ${open ? html`<${Lines} device=${phone.device} />` : html`<button type="button" class="plain" onClick=${() => show(true)}>Look at them</button>`}
    <${Wrong} fault=${fault} />
    <div class="row"><button type="button" class="act two small" disabled=${busy} onClick=${end(discardHeld)}>Leave them out</button>
      <button type="button" class="act small" disabled=${busy} onClick=${end(acceptHeld)}>Take them in</button></div>${back}</section>`;
}

function Lines({ device }) {
  const { value: lines, fault } = useAsk(() => held(device));
  return html`<div><${Wrong} fault=${fault} /><ol class="history">${lines?.map((l) => html`<li key=${l.id}><span><b>${first(l.doc || 'an entry of a newer version')}</b><span class="sub">${[l.batch, moment(l.at)].filter(Boolean).join(' · ')}</span></span></li>`)}</ol></div>`;
}
