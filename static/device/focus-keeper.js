// Keeps the keyboard's focus on the screen. A control that is disabled while its act runs, or that goes away with a
// sheet or a list, drops the focus to the page's body, and a screen reader would start again at the top. Then the
// focus goes back to that control or, where it is gone, to the heading of what is shown. Call startFocusKeeper once.

/** @type {HTMLElement | null} */
let last = null; // what had the focus last; null once the person took it away
let wasDisabled = false; // since it got the focus
let isPending = false;

const isLost = () => !document.activeElement || document.activeElement === document.body;
const isDisabled = (element) => Boolean(element.disabled);
const isUsable = (element) => element.isConnected && !isDisabled(element) && element.checkVisibility();

/** restoreFocus returns the focus back where it was lost. */
function restoreFocus() {
  isPending = false;
  if (!last || !isLost() || (last.isConnected && isDisabled(last))) return; // its act still runs
  const sheet = document.querySelector('dialog[open]');
  const target = isUsable(last) ? last : (sheet?.querySelector('h2') ?? document.querySelector('h1'));
  /** @type {HTMLElement | null} */ (target)?.focus({ preventScroll: true });
}

export function startFocusKeeper() {
  addEventListener('focusin', (e) => {
    last = /** @type {HTMLElement} */ (e.target);
    wasDisabled = false;
  });
  // A person who taps beside all controls, or closes the phone's keyboard, takes the focus away: the control is
  // still there, and was not disabled in the meantime.
  addEventListener('focusout', () =>
    requestAnimationFrame(() => {
      if (last && !wasDisabled && isLost() && isUsable(last)) last = null;
    }),
  );
  // Some phones give a button that is tapped no focus: then nothing would get it back.
  addEventListener('click', (e) => {
    const control = /** @type {HTMLElement | null} */ (
      /** @type {Element | null} */ (e.target)?.closest?.('button, a[href], summary')
    );
    if (control && isLost() && isUsable(control)) control.focus({ preventScroll: true });
  });
  new MutationObserver((changes) => {
    wasDisabled ||= changes.some((change) => change.target === last && change.attributeName === 'disabled');
    if (isPending) return;
    isPending = true;
    requestAnimationFrame(restoreFocus);
  }).observe(document.documentElement, {
    subtree: true,
    childList: true,
    attributes: true,
    attributeFilter: ['disabled', 'open', 'hidden'],
  });
}
