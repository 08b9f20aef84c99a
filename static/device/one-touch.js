// One touch, one act. A wet glove often taps twice, and the second tap would hit whatever the first
// one brought under the finger. So once an act was touched, the page ignores taps until what it did is
// on the screen and the finger has been up for a while; taps on a choice are ignored only where they
// repeat it or hit something else at the same spot. Keys that are meant to be tapped quickly, such as
// those of a number pad, always work. Call startOneTouch once; whatever loads or stores something
// reports it by trackWork, so that it is known when an act is done.

import { expectPicture } from '../core/after-picture.js';

const restAfterTouch = 700; // ms from the touch of one act to the next
const restAfterLift = 400; // ms from when the finger was last lifted
const restAfterChange = 250; // ms from when what the act did is on the screen
const stillTime = 120; // ms without a change: what the act did is on the screen
const maxWait = 5000; // ms; a page that never comes to rest does not stay deaf
const spot = 48; // px: taps as near as this are at the same spot

/** @typedef {'act' | 'choice' | 'key' | 'text' | 'none'} Role */
/** @typedef {{element: Element | null, role: Role, x: number, y: number, time: number}} Touch */

let openWorks = 0;
let lastChange = 0; // ms, as the browser stamps events
let lastLift = 0;
let settledAt = 0; // 0 while the last act is not yet on the screen
/** @type {Touch | null} */
let lastTouch = null; // the last touch that was let through
/** @type {Touch | null} */
let lastAct = null;
/** @type {Element | null} */
let markedElement = null; // the act that shows that it was touched

/**
 * trackWork counts work as open until it ends, and returns it.
 * @template Value
 * @param {Promise<Value>} work
 */
export function trackWork(work) {
  openWorks++;
  const end = () => {
    openWorks--;
    lastChange = performance.now();
  };
  work.then(end, end);
  return work;
}

/** controlOf returns the control that a tap on an element reaches. */
const controlOf = (element) => {
  if (element?.matches?.('dialog')) return element; // beside the sheet, which closes it
  const found = element?.closest?.('a[href], button, summary, label, input, select, textarea');
  return found?.control ?? found ?? null;
};

/**
 * roleOf says how taps on a control are treated.
 * @returns {Role}
 */
function roleOf(control) {
  if (!control) return 'none';
  if (control.closest('.stepper button, .pad button:not(.go-key), .pad-display button')) return 'key';
  if (control.matches('input[type=radio], input[type=checkbox], .chip, summary, select')) return 'choice';
  if (control.matches('input:not([type=file], [type=submit]), textarea')) return 'text';
  return 'act';
}

const isNear = (a, b) => Math.hypot(a.x - b.x, a.y - b.y) < spot;
const isResting = (touch, time) => time < touch.time + restAfterTouch || time < lastLift + restAfterLift;

/** isActOpen says whether the last act still keeps the page from taking the next. */
function isActOpen(time) {
  if (!lastAct || time > lastAct.time + maxWait) return false;
  return !settledAt || time < settledAt + restAfterChange || isResting(lastAct, time);
}

/** isIgnored says whether a touch is to be ignored. */
function isIgnored(touch) {
  const { element, role, time } = touch;
  if (role === 'none') return false;
  if (role === 'act' && isActOpen(time)) return true;
  if (!lastTouch) return false;
  const isSame = element === lastTouch.element;
  if (role === 'key' && lastTouch.role === 'key') return false;
  if (role === 'text' && isSame) return false;
  if (!isSame && !isNear(touch, lastTouch)) return false;
  return lastTouch === lastAct ? isActOpen(time) : isResting(lastTouch, time);
}

/** isDeaf says whether a tap on an element, now and there, would be ignored. */
export function isDeaf(element, x, y) {
  const control = controlOf(element);
  return isIgnored({ element: control, role: roleOf(control), x, y, time: performance.now() });
}

/** acceptTouch notes a touch that is let through. */
function acceptTouch(touch) {
  lastTouch = touch;
  if (touch.role !== 'act') return;
  lastAct = touch;
  settledAt = 0;
  markTaken(touch.element);
  awaitRest(touch);
}

/** markTaken shows on an act that its touch was taken, until what it did is on the screen. */
function markTaken(element) {
  removeMark();
  markedElement = element;
  element?.setAttribute('data-taken', '');
  expectPicture();
}

function removeMark() {
  markedElement?.removeAttribute('data-taken');
  markedElement = null;
}

/** awaitRest waits until nothing is loading or stored any more, and the page has stopped changing. */
function awaitRest(touch) {
  let looks = 0;
  const look = () => {
    if (lastAct !== touch) return;
    const now = performance.now();
    const isStill = !openWorks && now - Math.max(lastChange, touch.time) > stillTime;
    looks = isStill ? looks + 1 : 0; // a slow phone looks late: it must be still more than once
    if (looks < 3 && now < touch.time + maxWait) setTimeout(look, 30);
    else {
      settledAt = now;
      removeMark();
    }
  };
  setTimeout(look, 30);
}

/** isForwardedByLabel says whether a click comes from a label that forwards the accepted touch to its field. */
const isForwardedByLabel = (e, touch) =>
  controlOf(e.target) === touch.element && touch.element?.matches('input, select, textarea');

/** startOneTouch takes over the taps of the page. */
export function startOneTouch() {
  // The running gesture: checked is the control that pointerdown checked, accepted the touch that its
  // click was let through as.
  /** @type {{checked: Element | null | undefined, accepted: Touch | null, time: number, isIgnored: boolean,
   * isKey: boolean}} */
  let gesture = { checked: undefined, accepted: null, time: 0, isIgnored: false, isKey: false };
  const stop = (e) => {
    e.preventDefault();
    e.stopImmediatePropagation();
  };
  const touchOf = (e, time) => {
    const element = controlOf(e.target);
    return { element, role: roleOf(element), x: e.clientX, y: e.clientY, time };
  };
  new MutationObserver(() => {
    lastChange = performance.now();
  }).observe(document.documentElement, { childList: true, subtree: true, characterData: true, attributes: true });

  const on = (name, handle) => addEventListener(name, (e) => e.isTrusted && handle(e), { capture: true });
  on('pointerdown', (e) => {
    const touch = touchOf(e, e.timeStamp);
    gesture = {
      checked: touch.element,
      accepted: null,
      time: e.timeStamp,
      isIgnored: isIgnored(touch),
      isKey: false,
    };
  });
  on('pointerup', (e) => {
    lastLift = e.timeStamp;
  });
  on('mousedown', (e) => gesture.isIgnored && stop(e)); // else a field would take the focus
  on('keydown', (e) => {
    if (e.key !== 'Enter' && e.key !== ' ') return;
    if (e.repeat && roleOf(controlOf(e.target)) === 'act') return stop(e);
    gesture = { checked: undefined, accepted: null, time: e.timeStamp, isIgnored: false, isKey: true };
  });
  on('click', (e) => {
    if (gesture.isIgnored) return stop(e);
    if (gesture.accepted && isForwardedByLabel(e, gesture.accepted)) return;
    // A browser that was kept waiting for too long sends a click without the pointer's events.
    const isAlone = gesture.accepted !== null;
    const touch = touchOf(e, isAlone ? e.timeStamp : gesture.time);
    // A key brings no point: it counts as at the same spot only for the same control.
    if (gesture.isKey) touch.x = touch.y = Number.MAX_SAFE_INTEGER;
    // While the finger was down, the page may have put another control under it.
    const isChecked = !isAlone && touch.element === gesture.checked;
    if (!isChecked && isIgnored(touch)) return stop(e);
    gesture.accepted = touch;
    if (touch.role !== 'none') acceptTouch(touch);
  });
}
