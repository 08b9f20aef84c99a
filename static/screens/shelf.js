// Shelf: the places where bags stand.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { navigate } from '../device/router.js';
import { placeViews } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { LinkRow } from '../parts/link-row.js';
import { PlaceNameForm } from '../parts/place-name-form.js';
import { Screen } from '../parts/screen.js';

export function Shelf() {
  const { value: places, fault } = useLiveData(placeViews);
  const [adding, setAdding] = useState(false);
  const close = () => setAdding(false);
  const open = (id) => {
    close();
    navigate(`/place/${id}`);
  };
  const newPlace = html`<button type="button" class="act" onClick=${() => setAdding(true)}>New place</button>`;
  return html`<${Screen} here="shelf" title="Shelf" fault=${fault} acts=${!isHelper.value && newPlace}>
    <section class="close"><h2>Places</h2>
      ${places?.length === 0 && html`<${NoPlaces} />`}
      ${places?.map(
        (p) => html`<${LinkRow} key=${p.id} href=${`/place/${p.id}`} title=${p.name}
          sub=${[p.text, p.usual].filter(Boolean).join(' · ')} />`,
      )}
    </section>
    ${
      !isHelper.value &&
      html`<section><h2>Stock</h2><p class="sub">The app does not count powders and soda ash yet.</p></section>`
    }
    <${Dialog} open=${adding} onClose=${close} title="New place">
      <${PlaceNameForm} autofocus onAdd=${open} /></${Dialog}>
  </${Screen}>`;
}

const NoPlaces = () => html`<p class="sub">${isHelper.value && 'None of this batch’s bags stands anywhere yet. '}
  A place is where bags stand: a shed, a kitchen, a warm cupboard. Its temperature tells when they are ready.</p>`;
