// Photos: taken of a bag's pieces, shown in a row, looked at one by one.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { asFault } from '../core/fault.js';
import { shrinkPhoto } from '../device/image.js';
import { clockTick } from '../journal/changes.js';
import { record, withdrawFacts } from '../journal/journal.js';
import { hub } from '../sync/hub-state.js';
import { loadPhoto, photosArrived, savePhoto } from '../sync/photos.js';
import { useAction } from './data-hooks.js';
import { Dialog } from './dialog.js';
import { ErrorBox } from './messages.js';
import { PhotoButton } from './photo-button.js';

/** usePhoto gives {url}, or {missing} as a sentence where the picture cannot be shown; {} while it loads. */
function usePhoto(hash) {
  const [photo, setPhoto] = useState(/** @type {{url?: string, missing?: string}} */ ({}));
  const { url, missing } = photo;
  useEffect(() => {
    if (url) return;
    let current = true;
    loadPhoto(hash).then(
      (blob) =>
        current && setPhoto(blob ? { url: URL.createObjectURL(blob) } : { missing: 'Photo is on another phone' }),
      (err) => current && setPhoto({ missing: asFault(err).message }),
    );
    return () => {
      current = false;
    };
  }, [hash, Boolean(url), photosArrived.value, hub.value.ok, missing && clockTick.value]);
  const release = () => {
    if (url) URL.revokeObjectURL(url);
  };
  useEffect(() => release, [url]);
  return photo;
}

/** Picture is the photo itself; one that is not here says where it is. */
export const Picture = ({ hash, text }) => {
  const { url, missing } = usePhoto(hash);
  return url ? html`<img src=${url} alt=${text} />` : html`<span class="absent">${missing}</span>`;
};

/** PhotoThumb is a small photo that opens large; facts are its entries, by which it is removed. */
export function PhotoThumb({ hash, text, facts }) {
  const [open, setOpen] = useState(false);
  const [run, fault, busy] = useAction();
  const remove = () =>
    run(async () => {
      await withdrawFacts(facts);
      setOpen(false);
    });
  return html`
    <button type="button" class="photo" aria-label=${`Photo: ${text}`} onClick=${() => setOpen(true)}>
      <${Picture} key=${hash} hash=${hash} text="" /></button>
    <${Dialog} open=${open} onClose=${() => setOpen(false)} title="Photo"><div class="photo-large">
      <${Picture} hash=${hash} text=${text} /><p class="capitalized">${text}</p>
      ${
        facts &&
        html`<button type="button" class="act secondary small wide" disabled=${busy} onClick=${remove}>
          Remove photo</button>`
      }
      <${ErrorBox} fault=${fault} />
    </div></${Dialog}>`;
}

/** Photos are those of a bag's pieces, and the button that takes another. */
export function Photos({ bag }) {
  const [run, fault, busy] = useAction();
  const save = (file) =>
    run(async () => {
      const sha256 = await savePhoto(await shrinkPhoto(file));
      const body = { sha256, stage: bag.stage, bag: bag.id };
      await record(
        bag.shows.map((subject) => ({ scope: `batch/${bag.batch}`, subject, kind: Kind.piecePhotographed, body })),
        { undo: `Photo of bag ${bag.number} saved` },
      );
    });
  return html`<section><h2>Photos</h2>
    <div class="photos">
      ${bag.photos.map((p) => html`<${PhotoThumb} key=${p.hash} hash=${p.hash} text=${p.text} facts=${p.facts} />`)}
      ${
        bag.shows.length > 0 &&
        html`<${PhotoButton} words=${busy ? 'Saving…' : 'Photo'} busy=${busy} onPhoto=${save} />`
      }
    </div>
    <${ErrorBox} fault=${fault} />
  </section>`;
}
