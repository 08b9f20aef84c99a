// A modal dialog that covers the lower part of the screen.
import { html } from './html.js';
import { useLayoutEffect, useRef, useId } from 'preact/hooks';

/** Dialog is a modal dialog; its button, Escape and a tap beside it close it. */
export function Dialog({ open, onClose, title, children }) {
  const dialogRef = useRef(/** @type {any} */ (null)),
    id = useId();
  useLayoutEffect(() => {
    const dialog = dialogRef.current;
    if (open && !dialog.open) dialog.showModal();
    if (!open && dialog.open) dialog.close();
  }, [open]);
  useLayoutEffect(() => {
    if (open) dialogRef.current.scrollTop = 0; // what it shows next begins at its top, too
  }, [title]);
  // The close event comes a moment later. If the dialog was opened again by then, for
  // something else, it stays open. The screen may be gone by then, and the dialog with it.
  const handleClose = () => {
    if (open && dialogRef.current?.open === false) onClose();
  };
  return html`<dialog class="bottom-sheet panel" ref=${dialogRef} aria-labelledby=${id} onClose=${handleClose}
    onClick=${(e) => {
      if (e.target === dialogRef.current) onClose();
    }}>
    ${
      open &&
      html`<div class="sheet-body"><div class="sheet-head"><h2 id=${id} tabindex="-1">${title}</h2>
        <button type="button" class="text-button" onClick=${onClose}>Close</button></div>${children}</div>`
    }
  </dialog>`;
}
