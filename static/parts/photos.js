// Photos of a bag's pieces: takes them, shows them in a row, and opens one large.
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

/** usePhoto returns {url}, or {missing}, a sentence, if the picture cannot be shown; {} while it loads. */
function usePhoto(hash) {
  const [photo, setPhoto] = useState(/** @type {{url?: string, missing?: string}} */ ({}));
  const { url, missing } = photo;
  useEffect(() => {
    if (url) return;
    let isCurrent = true;
    loadPhoto(hash).then(
      (blob) =>
        isCurrent && setPhoto(blob ? { url: URL.createObjectURL(blob) } : { missing: 'Photo is on another phone' }),
      (err) => isCurrent && setPhoto({ missing: asFault(err).message }),
    );
    return () => {
      isCurrent = false;
    };
  }, [hash, Boolean(url), photosArrived.value, hub.value.isReached, missing && clockTick.value]);
  const revokeUrl = () => {
    if (url) URL.revokeObjectURL(url);
  };
  useEffect(() => revokeUrl, [url]);
  return photo;
}

/** Picture shows the photo, or says why it is missing. */
export const Picture = ({ hash, text }) => {
  const { url, missing } = usePhoto(hash);
  return url ? html`<img src=${url} alt=${text} />` : html`<span class="missing-photo">${missing}</span>`;
};

/** PhotoThumb is a small photo that opens large; facts are the entries to withdraw to remove it. */
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
        html`<button type="button" class="button secondary small wide" disabled=${busy} onClick=${remove}>
          Remove photo</button>`
      }
      <${ErrorBox} fault=${fault} />
    </div></${Dialog}>`;
}

/** Photos shows the photos of a bag's pieces, and a button to take another. */
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

/** PiecePhotos shows the photos of an idea for pieces, and a button to take one. */
export function PiecePhotos({ scope, piece }) {
  const [run, fault, busy] = useAction();
  const save = (file) =>
    run(async () => {
      const sha256 = await savePhoto(await shrinkPhoto(file));
      await record([{ scope, subject: piece.id, kind: Kind.piecePhotographed, body: { sha256 } }], {
        undo: 'Photo saved',
      });
    });
  return html`<div class="field"><span class="label">Photo of an idea</span>
    <div class="photos">
      ${piece.photos.map((p) => html`<${PhotoThumb} key=${p.hash} hash=${p.hash} text=${p.text} facts=${p.facts} />`)}
      <${PhotoButton} words=${busy ? 'Saving…' : 'Photo'} busy=${busy} onPhoto=${save} /></div>
    <${ErrorBox} fault=${fault} /></div>`;
}
