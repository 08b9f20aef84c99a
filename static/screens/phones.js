// Phones: which belong to the house, what they are called, which have access.
import { html, classes } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { hub } from '../sync/hub-state.js';
import { listPhones, readmitPhone, removePhone, renamePhone } from '../sync/phones.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { countOf } from '../parts/hub-status.js';
import { Icon } from '../parts/icons.js';
import { Invitation } from '../parts/invitation.js';
import { ErrorBox } from '../parts/messages.js';
import { Quarantine } from '../parts/quarantine.js';
import { RenameForm } from '../parts/rename-form.js';
import { Screen } from '../parts/screen.js';
import { dateAndTime } from '../parts/time-text.js';

const backLink = { href: '/phone', words: 'This phone' };

export function Phones() {
  if (['helper', 'stranger', 'out'].includes(hub.value.role)) {
    return html`<${Screen} here="" back=${backLink} title="Phones"
      sub="Only a phone of the house sees which have access." />`;
  }
  return html`<${PhoneList} />`;
}

function PhoneList() {
  const { value: list, fault, again } = useLiveData(listPhones, [hub.value.ok]);
  const [open, setOpen] = useState(''); // a device, or "new"
  const phone = list?.find((p) => p.device === open);
  const close = () => setOpen('');
  return html`<${Screen} here="" back=${backLink} title="Phones" fault=${fault}
    sub=${
      hub.value.ok
        ? 'Each keeps its own journal and exchanges with the hub.'
        : 'As this phone knows them. The hub is not reached.'
    }
    acts=${html`<button type="button" class="act" disabled=${!hub.value.ok} onClick=${() => setOpen('new')}>
      Add a phone</button>`}>
    ${list?.length === 0 && html`<p class="sub">No phone is known yet.</p>`}
    ${list?.map((p) => html`<${PhoneRow} key=${p.device} phone=${p} onClick=${() => setOpen(p.device)} />`)}
    <${Dialog} open=${open === 'new'} onClose=${close} title="Add a phone"><${Invitation} /></${Dialog}>
    <${Dialog} open=${Boolean(phone)} onClose=${close} title=${phone && nameOf(phone)}>
      <${PhoneDetails} key=${open} phone=${phone} again=${again} done=${close} /></${Dialog}>
  </${Screen}>`;
}

const isRemoved = (phone) => phone.revoked.length > 0;
const nameOf = (phone) => phone.name || 'a phone without a name';

const PhoneRow = ({ phone, onClick }) => html`
  <button type="button" class=${classes('link-row', isRemoved(phone) && 'gone')} onClick=${onClick}>
    <span><b>${nameOf(phone)}</b><span class="sub">${describePhone(phone)}</span>
      ${
        phone.held > 0 &&
        html`<span class="waiting">${countOf(phone.held, 'entry waits', 'entries wait')} for you</span>`
      }
    </span><${Icon} name="on" />
  </button>`;

/** describePhone says whose the phone is and when it was last there. */
function describePhone(phone) {
  const batches = phone.batches?.map((b) => b.name).join(', ');
  const helps = phone.role === 'helper' && (batches ? `helps with ${batches}` : 'helped with a batch no longer shared');
  const parts = [
    phone.you && 'this phone',
    isRemoved(phone) ? 'removed' : helps,
    phone.letter && `letter ${phone.letter}`,
    phone.seen > 0 && `here ${dateAndTime(phone.seen)}`,
  ];
  return parts.filter(Boolean).join(' · ') || 'of the house';
}

function PhoneDetails({ phone, again, done }) {
  const rename = (name) => renamePhone(phone.device, name);
  return html`<div>
    <${RenameForm} name=${phone.name} save=${rename} done=${done} />
    ${(phone.held > 0 || phone.left > 0) && html`<${Quarantine} phone=${phone} again=${again} />`}
    ${!phone.you && html`<${PhoneAccess} phone=${phone} done=${done} />`}
  </div>`;
}

/** PhoneAccess removes a phone from the house, or readmits it. */
function PhoneAccess({ phone, done }) {
  const [run, fault, busy] = useAction();
  const button = (words, work) =>
    html`<button type="button" class="act secondary wide" disabled=${busy}
      onClick=${() => run(async () => done(await work(phone)))}>${words}</button>`;
  if (isRemoved(phone)) {
    return html`<section>${button('Restore this phone', readmitPhone)}<${ErrorBox} fault=${fault} /></section>`;
  }
  return html`<section>${button('Remove this phone', removePhone)}
    <${ErrorBox} fault=${fault} />
    <p class="sub">For a phone that is lost or given away. It gets nothing more at once; what it sends later
      waits here for you. What is on it stays on it.</p>
    ${
      phone.role === 'helper' &&
      phone.batches.map(
        (b) => html`<p class="sub" key=${b.id}>A code that is still open for ${b.name} could bring it back:
          <a href=${`/batch/${b.id}/share`}>see who helps there</a>.</p>`,
      )
    }
  </section>`;
}
