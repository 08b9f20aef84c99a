// Printing: the browser is told the very size of the paper, by a rule of its own in
// the style of print, since a page's policy allows no other.
import { Fault } from '../core/fault.js';

let sizeRule = ''; // the rule that says which paper the pages on the screen are for
/** @type {CSSRule | null} */
let pageRule = null; // that rule, where it stands
/** @type {{pages: Element, rule: CSSRule | null} | null} */
let printCopy = null; // what was printed last, while it still stands: {pages, rule}

// setPageSize says on which paper the page prints: pages of that size, without a margin.
export function setPageSize({ pageWidth, pageHeight }) {
  clearPageSize();
  sizeRule = `@page { size: ${pageWidth}mm ${pageHeight}mm; margin: 0; }`;
  pageRule = insertRule(printCopy?.rule);
}

// clearPageSize leaves the paper to the printer again.
export function clearPageSize() {
  deleteRule(pageRule);
  pageRule = null;
}

// insertRule puts the rule of the size before another one, or last, where it holds.
function insertRule(before) {
  const sheet = [...document.styleSheets].find((s) => s.href?.endsWith('/css/print.css'));
  const at = sheet && (before ? [...sheet.cssRules].indexOf(before) : sheet.cssRules.length);
  return sheet ? sheet.cssRules[sheet.insertRule(sizeRule, at)] : null;
}

function deleteRule(rule) {
  const rules = rule?.parentStyleSheet,
    at = rules ? [...rules.cssRules].indexOf(rule) : -1;
  if (at >= 0) rules.deleteRule(at);
}

// printPage prints what is drawn, once it is drawn.
export async function printPage() {
  await document.fonts.ready;
  for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
  if (!window.print)
    throw new Fault({
      code: 'unavailable',
      sentence: 'this browser cannot print',
      hint: 'save the labels as a PDF near the hub, or open the app in another browser',
    });
  keepPrintCopy();
  window.print();
}

const touchEvents = ['pointerdown', 'keydown', 'popstate'];

// keepPrintCopy lets what is printed stand for the printer while the screen goes on: a phone's
// window.print comes back at once, and its dialog draws the page later, and anew when
// a printer is chosen there (https://github.com/jasonday/printThis/issues/193).
function keepPrintCopy() {
  removePrintCopy();
  const pages = /** @type {Element | undefined} */ (document.querySelector('.pages')?.cloneNode(true));
  if (!pages) return;
  pages.classList.add('print-copy');
  document.body.append(pages);
  printCopy = { pages, rule: pageRule && insertRule() };
  for (const touch of touchEvents) addEventListener(touch, removePrintCopy, true);
}

// removePrintCopy ends that: who touches the page again has left the dialog.
function removePrintCopy() {
  for (const touch of touchEvents) removeEventListener(touch, removePrintCopy, true);
  printCopy?.pages.remove();
  deleteRule(printCopy?.rule);
  printCopy = null;
}
