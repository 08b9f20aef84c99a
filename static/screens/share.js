// Helpers: a batch is shared with phones that see nothing else.
import { html, first } from '../parts/html.js';
import { close, share, sharing } from '../sync/sharing.js';
import { helps, hub } from '../sync/hub-state.js';
import { batchView } from '../journal/views.js';
import { useLive, useDo } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Code, FirstTime } from '../parts/join-code.js';

export function Share({ id }) {
  const { value: batch } = useLive(() => batchView(id), [id]);
  const { value: is, fault } = useLive(() => sharing(id), [id, hub.value.waiting]);
  const [run, wrong, busy] = useDo();
  const owner = !helps.value;
  const open = is && (is.open || is.helpers.length > 0);
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="Helpers" fault=${fault || wrong}
    sub="A helper’s phone sees this batch and adds to it, and reads the temperatures where its bags stand. It sees nothing else."
    acts=${is && owner && !is.code && html`<button type="button" class="act" disabled=${busy} onClick=${() => run(() => share(id))}>${open ? 'Show a code here' : 'Let helpers in'}</button>`}>
    ${
      is?.code &&
      html`<section class="close"><${Code} address=${is.code.address} label="QR code of the share code" text=${is.code.shown} help="Scan it with the helper’s phone, or type there under “Pair this phone”" />
      ${is.code.waits ? html`<p class="note">The helper can join once this phone has reached the hub.</p>` : html`<p class="say centre">Good for any number of phones until you close it.</p>`}
      <${FirstTime} /></section>`
    }
    ${is?.open && !is.code && html`<p class="note">A code that was drawn on another phone is good.</p>`}
    ${is && html`<section><h2>In this batch</h2>${is.helpers.length === 0 ? html`<p class="sub">No helper yet.</p>` : html`<ul class="rows">${is.helpers.map((h) => html`<li key=${h.device}><b>${h.name || 'a phone'}</b></li>`)}</ul>`}</section>`}
    ${
      open &&
      owner &&
      html`<section><button type="button" class="act two wide" disabled=${busy} onClick=${() => run(() => close(id))}>Close the sharing</button>
      <p class="sub">${first('the code is good no more, and helpers are out at once. What they wrote stays.')}</p></section>`
    }
  </${Screen}>`;
}
