// Phones: which belong to the house, what they are called, which have access.
import { html, classes } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { hub } from '../sync/hub-state.js';
import { listPhones, restorePhone, removePhone, renamePhone } from '../sync/phones.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { countText } from '../parts/hub-status.js';
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
    return html`<${Screen} activeTab="" back=${backLink} title="Phones"
      sub="Only a phone of the house can see which phones have access." />`;
  }
  return html`<${PhoneList} />`;
}

function PhoneList() {
  const { value: list, fault, reload } = useLiveData(listPhones, [hub.value.isReached]);
  const [openPhone, setOpenPhone] = useState(''); // a device, or "new"
  const phone = list?.find((p) => p.device === openPhone);
  const close = () => setOpenPhone('');
  return html`<${Screen} activeTab="" back=${backLink} title="Phones" fault=${fault}
    sub=${
      hub.value.isReached
        ? 'Each keeps its own journal and syncs with the hub.'
        : 'As last synced. The hub cannot be reached.'
    }
    actions=${html`<button type="button" class="button" disabled=${!hub.value.isReached}
    onClick=${() => setOpenPhone('new')}>
      Add a phone</button>`}>
    ${list?.length === 0 && html`<p class="sub">No phone is known yet.</p>`}
    ${list?.map((p) => html`<${PhoneRow} key=${p.device} phone=${p} onClick=${() => setOpenPhone(p.device)} />`)}
    <${Dialog} open=${openPhone === 'new'} onClose=${close} title="Add a phone"><${Invitation} /></${Dialog}>
    <${Dialog} open=${Boolean(phone)} onClose=${close} title=${phone && nameOf(phone)}>
      <${PhoneDetails} key=${openPhone} phone=${phone} reload=${reload} onDone=${close} /></${Dialog}>
  </${Screen}>`;
}

const isRemoved = (phone) => phone.revoked.length > 0;
const nameOf = (phone) => phone.name || 'a phone without a name';

const PhoneRow = ({ phone, onClick }) => html`
  <button type="button" class=${classes('link-row', isRemoved(phone) && 'struck-out')} onClick=${onClick}>
    <span><b>${nameOf(phone)}</b><span class="sub">${phoneText(phone)}</span>
      ${
        phone.held > 0 &&
        html`<span class="waiting">${countText(phone.held, 'entry waits', 'entries wait')} for you</span>`
      }
    </span><${Icon} name="next" />
  </button>`;

/** describePhone says whose the phone is and when it was last there. */
function phoneText(phone) {
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

function PhoneDetails({ phone, reload, onDone }) {
  const rename = (name) => renamePhone(phone.device, name);
  return html`<div>
    <${RenameForm} name=${phone.name} save=${rename} onDone=${onDone} />
    ${(phone.held > 0 || phone.left > 0) && html`<${Quarantine} phone=${phone} reload=${reload} />`}
    ${!phone.you && html`<${PhoneAccess} phone=${phone} onDone=${onDone} />`}
  </div>`;
}

/** PhoneAccess removes a phone from the house, or readmits it. */
function PhoneAccess({ phone, onDone }) {
  const [run, fault, busy] = useAction();
  const renderButton = (words, work) =>
    html`<button type="button" class="button secondary wide" disabled=${busy}
      onClick=${() => run(async () => onDone(await work(phone)))}>${words}</button>`;
  if (isRemoved(phone)) {
    return html`<section>${renderButton('Restore this phone', restorePhone)}<${ErrorBox} fault=${fault} /></section>`;
  }
  return html`<section>${renderButton('Remove this phone', removePhone)}
    <${ErrorBox} fault=${fault} />
    <p class="sub">Use this for a phone that is lost or given away. It stops receiving anything at once; what it
      sends later waits here for you. Calendars and sensors that it added stop working, since it knows their
      addresses. The data already on it stays there.</p>
    ${
      phone.role === 'helper' &&
      phone.batches.map(
        (b) => html`<p class="sub" key=${b.id}>A code for ${b.name} that is still valid could give it access again:
          <a href=${`/batch/${b.id}/share`}>see who helps there</a>.</p>`,
      )
    }
  </section>`;
}
