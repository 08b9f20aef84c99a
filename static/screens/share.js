// Helpers: a batch is shared with phones that see nothing else.
import { html, capitalize } from '../parts/html.js';
import { stopSharing, startSharing, loadSharing } from '../sync/sharing.js';
import { isHelper, hub } from '../sync/hub-state.js';
import { batchView } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { JoinCode, FirstVisitHelp } from '../parts/join-code.js';

export function Share({ id }) {
  const { value: batch } = useLiveData(() => batchView(id), [id]);
  const { value: is, fault } = useLiveData(() => loadSharing(id), [id, hub.value.waiting]);
  const [run, wrong, busy] = useAction();
  const owner = !isHelper.value;
  const open = is && (is.open || is.helpers.length > 0);
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="Helpers" fault=${fault || wrong}
    sub="A helper’s phone sees this batch and adds to it, and reads the temperatures where its bags stand. It sees nothing else."
    acts=${is && owner && !is.code && html`<button type="button" class="act" disabled=${busy} onClick=${() => run(() => startSharing(id))}>${open ? 'Show a code here' : 'Let helpers in'}</button>`}>
    ${
      is?.code &&
      html`<section class="close"><${JoinCode} address=${is.code.address} label="QR code of the share code" text=${is.code.shown} help="Scan it with the helper’s phone, or type there under “Pair this phone”" />
      ${is.code.waits ? html`<p class="note">The helper can join once this phone has reached the hub.</p>` : html`<p class="say centre">Good for any number of phones until you close it.</p>`}
      <${FirstVisitHelp} /></section>`
    }
    ${is?.open && !is.code && html`<p class="note">A code that was drawn on another phone is good.</p>`}
    ${is && html`<section><h2>In this batch</h2>${is.helpers.length === 0 ? html`<p class="sub">No helper yet.</p>` : html`<ul class="rows">${is.helpers.map((h) => html`<li key=${h.device}><b>${h.name || 'a phone'}</b></li>`)}</ul>`}</section>`}
    ${
      open &&
      owner &&
      html`<section><button type="button" class="act two wide" disabled=${busy} onClick=${() => run(() => stopSharing(id))}>Close the sharing</button>
      <p class="sub">${capitalize('the code is good no more, and helpers are out at once. What they wrote stays.')}</p></section>`
    }
  </${Screen}>`;
}
