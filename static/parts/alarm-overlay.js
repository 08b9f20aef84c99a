// What the app rings for, over the whole screen until a person has seen it.
import { html } from './html.js';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { dismissAlarms, dueAlarms } from '../journal/alarms.js';
import { runOrShow } from '../device/toast.js';
/** @import { Alarm } from '../dist/calls.d.ts' */

const tapGuardTime = 700; // ms: it ignores taps that were meant for the screen below

/** AlarmOverlay shows the alarms that are due, those missed while the app was closed first. */
export function AlarmOverlay() {
  const { list, missed } = dueAlarms.value;
  const box = useRef(/** @type {any} */ (null));
  const [ignoresTaps, setIgnoresTaps] = useState(true);
  const open = list.length > 0;
  useLayoutEffect(() => {
    if (open && !box.current.open) box.current.showModal();
    if (!open && box.current.open) box.current.close();
  }, [open]);
  useEffect(() => {
    setIgnoresTaps(true);
    if (!open) return;
    const timer = setTimeout(() => setIgnoresTaps(false), tapGuardTime);
    return () => clearTimeout(timer);
  }, [open]);
  const dismiss = () => {
    if (!ignoresTaps) runOrShow(dismissAlarms);
  };
  const cancel = (e) => {
    e.preventDefault();
    dismiss();
  };
  return html`<dialog class="alarm" ref=${box} aria-labelledby="alarm-title" onCancel=${cancel}>
    ${
      open &&
      html`<div class="paper"><h2 id="alarm-title">${missed > 0 ? 'While the app was closed' : 'Due now'}</h2>
        <ul>${list.map(
          (a) => html`<li key=${a.key}><a href=${pathOf(a)} onClick=${dismiss}><b>${a.title}</b>
            <span>${a.sub}</span><span>${a.when}</span></a></li>`,
        )}</ul>
        <button type="button" class="button wide" aria-disabled=${ignoresTaps} onClick=${dismiss}>OK</button></div>`
    }
  </dialog>`;
}

/**
 * pathOf is the screen on which the work of an alarm is done.
 * @param {Alarm} alarm
 */
function pathOf({ batch, bag, soak }) {
  if (soak) return `/batch/${batch}/soak`;
  return bag ? `/bag/${batch}/${bag}` : `/batch/${batch}`;
}
