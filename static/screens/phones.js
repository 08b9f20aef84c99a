// Phones: which are of the house, what they are called, who is let in.
import { html, classes } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { hub } from '../sync/hub-state.js';
import { listPhones, readmitPhone, removePhone, renamePhone } from '../sync/phones.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { Quarantine } from '../parts/quarantine.js';
import { Icon } from '../parts/icons.js';
import { Invitation } from '../parts/invitation.js';
import { ErrorBox } from '../parts/messages.js';
import { countOf } from '../parts/hub-status.js';
import { dateAndTime } from '../parts/time-text.js';

const back = { href: '/phone', words: 'This phone' };

export function Phones() {
  if (['helper', 'stranger', 'out'].includes(hub.value.role))
    return html`<${Screen} here="" back=${back} title="Phones" sub="Only a phone of the house sees who is let in." />`;
  return html`<${All} />`;
}

function All() {
  const { value: list, fault, again } = useLiveData(listPhones, [hub.value.ok]);
  const [open, show] = useState(''); // a device, or "new"
  const phone = list?.find((p) => p.device === open);
  return html`<${Screen} here="" back=${back} title="Phones" fault=${fault}
    sub=${hub.value.ok ? 'Each keeps its own journal and exchanges with the hub.' : 'As this phone knows them. The hub is not reached.'}
    acts=${html`<button type="button" class="act" disabled=${!hub.value.ok} onClick=${() => show('new')}>Add a phone</button>`}>
    ${list?.length === 0 && html`<p class="sub">No phone is known yet.</p>`}
    ${list?.map(
      (
        p,
      ) => html`<button type="button" class=${classes('link-row', p.revoked.length > 0 && 'gone')} key=${p.device} onClick=${() => show(p.device)}>
      <span><b>${nameOf(p)}</b><span class="sub">${standing(p)}</span>${p.held > 0 && html`<span class="waiting">${countOf(p.held, 'entry waits', 'entries wait')} for you</span>`}</span><${Icon} name="on" /></button>`,
    )}
    <${Dialog} open=${open === 'new'} onClose=${() => show('')} title="Add a phone"><${Invitation} /></${Dialog}>
    <${Dialog} open=${Boolean(phone)} onClose=${() => show('')} title=${phone ? nameOf(phone) : ''}><${One} key=${open} phone=${phone} again=${again} done=${() => show('')} /></${Dialog}>
  </${Screen}>`;
}

const nameOf = (p) => p.name || 'a phone without a name';

/** standing says whose the phone is and when it was last there. */
function standing(p) {
  const helps =
    p.role === 'helper' &&
    (p.batches.length
      ? `helps with ${p.batches.map((b) => b.name).join(', ')}`
      : 'helped with a batch that is shared no more');
  return (
    [
      p.you && 'this phone',
      p.revoked.length > 0 ? 'let in no more' : helps,
      p.letter && `letter ${p.letter}`,
      p.seen > 0 && `here ${dateAndTime(p.seen)}`,
    ]
      .filter(Boolean)
      .join(' · ') || 'of the house'
  );
}

function One({ phone, again, done }) {
  const [name, set] = useState(phone.name);
  const [run, fault, busy] = useAction();
  const out = phone.revoked.length > 0;
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      await renamePhone(phone.device, name.trim());
      done();
    });
  };
  return html`<div>
    <form onSubmit=${save}><${Field} label="Name" value=${name} onInput=${set} enterkeyhint="done" /><${ErrorBox} fault=${fault} />
      <button class="act wide" disabled=${busy || !name.trim() || name.trim() === phone.name}>Save the name</button></form>
    ${(phone.held > 0 || phone.left > 0) && html`<${Quarantine} phone=${phone} again=${again} />`}
    ${
      !phone.you &&
      html`<section>${
        out
          ? html`<button type="button" class="act two wide" disabled=${busy} onClick=${() =>
              run(async () => {
                await readmitPhone(phone);
                done();
              })}>Let it in again</button>`
          : html`<button type="button" class="act two wide" disabled=${busy} onClick=${() =>
              run(async () => {
                await removePhone(phone);
                done();
              })}>Let it in no more</button>
        <p class="sub">For a phone that is lost or given away. It gets nothing more at once; what it sends later waits here for you. What is on it stays on it.</p>
        ${phone.role === 'helper' && phone.batches.map((b) => html`<p class="sub" key=${b.id}>A code that is still open for ${b.name} could bring it back: <a href=${`/batch/${b.id}/share`}>see who helps there</a>.</p>`)}`
      }</section>`
    }
  </div>`;
}
