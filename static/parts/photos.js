// Photos: taken of a bag's pieces, shown in a row, looked at one by one.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { record, withdrawFacts } from '../journal/journal.js';
import { hub } from '../sync/hub-state.js';
import { clockTick } from '../journal/changes.js';
import { photosArrived, savePhoto, loadPhoto } from '../sync/photos.js';
import { shrinkPhoto } from '../device/image.js';
import { Icon } from './icons.js';
import { Dialog } from './dialog.js';
import { useAction } from './data-hooks.js';
import { ErrorBox } from './messages.js';

/** usePhoto gives the address of a picture, "" while it is looked for, null where it is on another phone. */
function usePhoto(hash) {
  const [url, set] = useState(/** @type {string | null} */ (''));
  const here = Boolean(url);
  useEffect(() => {
    if (here) return;
    let on = true;
    loadPhoto(hash).then(
      (blob) => {
        if (on) set(blob && URL.createObjectURL(blob));
      },
      (err) => {
        console.error('photo:', err);
        if (on) set(null);
      },
    );
    return () => {
      on = false;
    };
  }, [hash, here, photosArrived.value, hub.value.ok, url === null && clockTick.value]);
  useEffect(
    () => () => {
      if (url) URL.revokeObjectURL(url);
    },
    [url],
  );
  return url;
}

/** Picture is the photo itself; what is not here says where it is. */
const Picture = ({ hash, text }) => {
  const url = usePhoto(hash);
  return url
    ? html`<img src=${url} alt=${text} />`
    : html`<span class="absent">${url === null ? 'Photo is on another phone' : ''}</span>`;
};

/** PhotoThumb is a small photo that opens large; facts are what its entries are called, to take it back. */
export function PhotoThumb({ hash, text, facts }) {
  const [open, set] = useState(false);
  const back = async () => {
    set(false);
    await withdrawFacts(facts);
  };
  const [run, fault, busy] = useAction();
  return html`<button type="button" class="photo" aria-label=${`Photo: ${text}`} onClick=${() => set(true)}><${Picture} key=${hash} hash=${hash} text="" /></button>
    <${Dialog} open=${open} onClose=${() => set(false)} title="Photo"><div class="photo-large"><${Picture} hash=${hash} text=${text} /><p class="first">${text}</p>
      ${facts && html`<button type="button" class="act two small wide" disabled=${busy} onClick=${() => run(back)}>Take it back</button>`}<${ErrorBox} fault=${fault} /></div></${Dialog}>`;
}

/** Photos are those of a bag's pieces, and the button that takes another. */
export function Photos({ bag }) {
  const [run, fault, busy] = useAction();
  const take = (file) =>
    run(async () => {
      const sha256 = await savePhoto(await shrinkPhoto(file));
      await record(
        bag.shows.map((subject) => ({
          scope: `batch/${bag.batch}`,
          subject,
          kind: Kind.piecePhotographed,
          body: { sha256, stage: bag.stage, bag: bag.id },
        })),
        { undo: `Photo of bag ${bag.number} kept` },
      );
    });
  return html`<section><h2>Photos</h2>
    <div class="photos">${bag.photos.map((p) => html`<${PhotoThumb} key=${p.hash} hash=${p.hash} text=${p.text} facts=${p.facts} />`)}
      ${
        bag.shows.length > 0 &&
        html`<label class="act two small snap"><${Icon} name="camera" />${busy ? 'Keeping it…' : 'Photo'}
        <input type="file" accept="image/*" capture="environment" disabled=${busy} onChange=${(e) => {
          const file = e.target.files[0];
          e.target.value = '';
          if (file) take(file);
        }} /></label>`
      }</div>
    <${ErrorBox} fault=${fault} />
  </section>`;
}
