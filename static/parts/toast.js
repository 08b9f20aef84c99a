// One line above the bar that says what was done and offers to undo it.
import { html } from './html.js';
import { useState, useEffect } from 'preact/hooks';
import { hideToast, runOrShow, toast } from '../device/toast.js';

const showTime = 8e3; // ms; longer while it is touched or has the focus

/** timeLeft returns the ms until it goes. One that can be undone stays as long on each screen that is opened. */
const timeLeft = (shown) => (shown.action ? showTime : Math.max(shown.shownAt + showTime - performance.now(), 0));

export function Toast() {
  const shown = toast.value;
  const [touched, setTouched] = useState(false);
  useEffect(() => {
    if (!shown || touched) return;
    const timer = setTimeout(() => hideToast(shown.key), timeLeft(shown));
    return () => clearTimeout(timer);
  }, [shown?.key, touched]);
  const hold = () => setTouched(true);
  const release = () => setTouched(false);
  const [busy, setBusy] = useState(false);
  const act = async (action) => {
    setBusy(true); // at once: what it does may take a while to be seen
    await runOrShow(action);
    setBusy(false);
  };
  return html`<div aria-live="polite" role="status" onPointerEnter=${hold} onPointerLeave=${release} onFocusIn=${hold}
    onFocusOut=${release}>
    ${
      shown &&
      html`<div class="toast" key=${shown.key}><p>${shown.text}</p>
        ${
          shown.label &&
          html`<button type="button" disabled=${busy} onClick=${() => act(shown.action)}>${shown.label}</button>`
        }
      </div>`
    }
  </div>`;
}
