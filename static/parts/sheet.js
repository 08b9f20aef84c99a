// A sheet of paper that is laid over the screen for one small thing.
import {html} from './html.js';
import {useEffect, useRef, useId} from 'preact/hooks';

/** Sheet is a modal dialog; it is closed by its button, by Escape, or beside it. */
export function Sheet({open, onClose, title, children}) {
  const box = useRef(), id = useId();
  useEffect(() => {
    const dialog = box.current;
    if (open && !dialog.open) dialog.showModal();
    if (!open && dialog.open) dialog.close();
  }, [open]);
  return html`<dialog class="sheet panel" ref=${box} aria-labelledby=${id} onClose=${onClose} onClick=${e => { if (e.target === box.current) onClose(); }}>
    ${open && html`<div class="paper"><div class="sheet-head"><h2 id=${id}>${title}</h2><button type="button" class="plain" onClick=${onClose}>Close</button></div>${children}</div>`}
  </dialog>`;
}
