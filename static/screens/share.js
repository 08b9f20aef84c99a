// Helpers: shares a batch with phones that see nothing else.
import { html } from '../parts/html.js';
import { batchView } from '../journal/views.js';
import { hub, isHelper } from '../sync/hub-state.js';
import { loadSharing, startSharing, stopSharing } from '../sync/sharing.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { FirstVisitHelp, JoinCode } from '../parts/join-code.js';
import { Screen } from '../parts/screen.js';

export function Share({ id }) {
  const { value: batch, fault: batchFault } = useLiveData(() => batchView(id), [id]);
  const { value: sharing, fault } = useLiveData(() => loadSharing(id), [id, hub.value.unsentCount]);
  const [run, actionFault, busy] = useAction();
  const isOwner = !isHelper.value;
  const isShared = sharing && (sharing.open || sharing.helpers.length > 0);
  const start = html`<button type="button" class="button" disabled=${busy} onClick=${() => run(() => startSharing(id))}>
    ${isShared ? 'Show a code here' : 'Share with helpers'}</button>`;
  const sub = `A helper’s phone sees this batch and adds to it, and reads the temperatures where its bags stand.
    It sees nothing else.`;
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="Helpers"
    sub=${sub} fault=${fault || batchFault || actionFault} actions=${sharing && isOwner && !sharing.code && start}>
    ${sharing?.code && html`<${ShareCode} code=${sharing.code} />`}
    ${sharing?.open && !sharing.code && html`<p class="note">A code from another phone is still valid.</p>`}
    ${sharing && html`<${HelperList} helpers=${sharing.helpers} />`}
    ${
      isShared &&
      isOwner &&
      html`<section>
        <button type="button" class="button secondary wide" disabled=${busy}
          onClick=${() => run(() => stopSharing(id))}>
          Stop sharing</button>
        <p class="sub">The code expires, and helpers lose access at once. What they wrote stays.</p>
      </section>`
    }
  </${Screen}>`;
}

const ShareCode = ({ code }) => html`<section class="compact">
  <${JoinCode} address=${code.address} label="QR code for sharing" text=${code.shown}
    help="Scan it with the helper’s phone, or type it there under “Pair this phone”" />
  ${
    code.waits
      ? html`<p class="note">The helper can join once this phone has reached the hub.</p>`
      : html`<p class="body-text centre">Valid for any number of phones until you stop sharing.</p>`
  }
  <${FirstVisitHelp} />
</section>`;

const HelperList = ({ helpers }) =>
  html`<section><h2>In this batch</h2>${
    helpers.length === 0
      ? html`<p class="sub">No helper yet.</p>`
      : html`<ul class="rows">${helpers.map((h) => html`<li key=${h.device}><b>${h.name || 'a phone'}</b></li>`)}</ul>`
  }</section>`;
