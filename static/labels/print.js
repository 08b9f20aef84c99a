// Printing: the browser is told the very size of the paper, by a rule of its own in
// the style of print, since a page's policy allows no other.
import { Fault } from '../core/fault.js';

let size = ''; // the rule that says which paper the pages on the screen are for
let rule = null; // that rule, where it stands
let kept = null; // what was printed last, while it still stands: {pages, rule}

// setPage says on which paper the page prints: pages of that size, without a margin.
export function setPage({ pageWidth, pageHeight }) {
  clearPage();
  size = `@page { size: ${pageWidth}mm ${pageHeight}mm; margin: 0; }`;
  rule = add(kept?.rule);
}

// clearPage leaves the paper to the printer again.
export function clearPage() {
  remove(rule);
  rule = null;
}

// add puts the rule of the size before another one, or last, where it holds.
function add(before) {
  const sheet = [...document.styleSheets].find((s) => s.href?.endsWith('/css/print.css'));
  const at = sheet && (before ? [...sheet.cssRules].indexOf(before) : sheet.cssRules.length);
  return sheet ? sheet.cssRules[sheet.insertRule(size, at)] : null;
}

function remove(rule) {
  const rules = rule?.parentStyleSheet,
    at = rules ? [...rules.cssRules].indexOf(rule) : -1;
  if (at >= 0) rules.deleteRule(at);
}

// print prints what is drawn, once it is drawn.
export async function print() {
  await document.fonts.ready;
  for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
  if (!window.print)
    throw new Fault({
      code: 'unavailable',
      sentence: 'this browser cannot print',
      hint: 'save the labels as a PDF near the hub, or open the app in another browser',
    });
  keep();
  window.print();
}

const touches = ['pointerdown', 'keydown', 'popstate'];

// keep lets what is printed stand for the printer while the screen goes on: a phone's
// window.print comes back at once, and its dialog draws the page later, and anew when
// a printer is chosen there (https://github.com/jasonday/printThis/issues/193).
function keep() {
  letGo();
  const pages = document.querySelector('.pages')?.cloneNode(true);
  if (!pages) return;
  pages.classList.add('kept');
  document.body.append(pages);
  kept = { pages, rule: rule && add() };
  for (const touch of touches) addEventListener(touch, letGo, true);
}

// letGo ends that: who touches the page again has left the dialog.
function letGo() {
  for (const touch of touches) removeEventListener(touch, letGo, true);
  kept?.pages.remove();
  remove(kept?.rule);
  kept = null;
}
