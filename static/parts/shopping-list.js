// The shopping list: what the open batches lack, and what runs low. It is shared as text.
import { html, capitalize } from './html.js';
import { showToast } from '../device/toast.js';
import { useAction } from './data-hooks.js';
import { ErrorBox } from './messages.js';

/** canShare says whether the phone hands texts to other apps. */
const canShare = 'share' in navigator;

/** shareText hands a text to another app or, where the phone has no such thing, copies it. */
async function shareText(text) {
  if (!canShare) {
    await navigator.clipboard.writeText(text);
    return showToast('List copied');
  }
  try {
    await navigator.share({ title: 'Shopping list', text });
  } catch (err) {
    if (/** @type {any} */ (err).name !== 'AbortError') throw err; // closed without sharing
  }
}

export function ShoppingList({ shelf }) {
  const [run, fault, busy] = useAction();
  if (!shelf.list) return null;
  return html`<section class="compact shopping">
    ${shelf.buy.length > 0 && html`<h2>To buy</h2><${Lines} list=${shelf.buy} />`}
    ${
      shelf.check.length > 0 &&
      html`<h2>Check if there is enough</h2>
        <p class="sub">You have not entered how much of these you have.</p>
        <${Lines} list=${shelf.check} />`
    }
    <button type="button" class="button secondary small wide" disabled=${busy}
      onClick=${() => run(() => shareText(shelf.list))}>${canShare ? 'Share the list' : 'Copy the list'}</button>
    <${ErrorBox} fault=${fault} />
  </section>`;
}

/** Lines lists things, each with a text. */
export const Lines = ({ list }) =>
  html`<ul class="lines">${list.map(
    (l) => html`<li key=${l.name}><b>${capitalize(l.name)}</b> <span class="sub">${l.text}</span></li>`,
  )}</ul>`;
