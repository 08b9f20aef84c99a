// One line above the bar that says what was done and offers to take it back.
import { html } from './html.js';
import { useState, useEffect } from 'preact/hooks';
import { toast, hideToast } from '../device/toast.js';

const stays = 8e3; // ms; longer while it is touched or has the focus

export function Toast() {
  const said = toast.value;
  const [held, hold] = useState(false);
  useEffect(() => {
    if (!said || held) return;
    const timer = setTimeout(() => hideToast(said.key), stays);
    return () => clearTimeout(timer);
  }, [said?.key, held]);
  return html`<div aria-live="polite" role="status" onPointerEnter=${() => hold(true)} onPointerLeave=${() => hold(false)} onFocusIn=${() => hold(true)} onFocusOut=${() => hold(false)}>
    ${said && html`<div class="toast" key=${said.key}><p>${said.text}</p>${said.label && html`<button type="button" onClick=${said.act}>${said.label}</button>`}</div>`}
  </div>`;
}
