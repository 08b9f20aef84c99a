// A sheet of paper that is laid over the screen for one small thing.
import { html } from './html.js';
import { useLayoutEffect, useRef, useId } from 'preact/hooks';

/** Dialog is a modal dialog; it is closed by its button, by Escape, or beside it. */
export function Dialog({ open, onClose, title, children }) {
  const box = useRef(/** @type {any} */ (null)),
    id = useId();
  useLayoutEffect(() => {
    const dialog = box.current;
    if (open && !dialog.open) dialog.showModal();
    if (!open && dialog.open) dialog.close();
  }, [open]);
  // The word that it was closed comes a moment later: a sheet that we closed, and
  // that may be open again for something else by then, is not closed once more.
  const closed = () => {
    if (open && !box.current.open) onClose();
  };
  return html`<dialog class="sheet panel" ref=${box} aria-labelledby=${id} onClose=${closed} onClick=${(e) => {
    if (e.target === box.current) onClose();
  }}>
    ${
      open &&
      html`<div class="paper"><div class="sheet-head"><h2 id=${id}>${title}</h2>
        <button type="button" class="plain" onClick=${onClose}>Close</button></div>${children}</div>`
    }
  </dialog>`;
}
