// Printing. An @page rule in print.css tells the browser the exact size of the paper; the
// content security policy allows no inline style.
import { Fault } from '../core/fault.js';

let sizeRule = ''; // the rule with the paper size of the pages on the screen
/** @type {CSSRule | null} */
let pageRule = null; // that rule in the style sheet, or null
/** @type {{pages: Element, rule: CSSRule | null} | null} */
let printCopy = null; // a copy of the last printed pages, while it is in the page

// setPageSize sets the size of the printed page, without margins.
export function setPageSize({ pageWidth, pageHeight }) {
  clearPageSize();
  sizeRule = `@page { size: ${pageWidth}mm ${pageHeight}mm; margin: 0; }`;
  pageRule = insertRule(printCopy?.rule);
}

// clearPageSize lets the printer choose the size of the page again.
export function clearPageSize() {
  deleteRule(pageRule);
  pageRule = null;
}

// insertRule inserts the size rule before another rule, or last, where it takes precedence.
function insertRule(before) {
  const sheet = [...document.styleSheets].find((s) => s.href?.endsWith('/css/print.css'));
  const index = sheet && (before ? [...sheet.cssRules].indexOf(before) : sheet.cssRules.length);
  return sheet ? sheet.cssRules[sheet.insertRule(sizeRule, index)] : null;
}

function deleteRule(rule) {
  const sheet = rule?.parentStyleSheet,
    index = sheet ? [...sheet.cssRules].indexOf(rule) : -1;
  if (index >= 0) sheet.deleteRule(index);
}

// printPage prints the page once it is drawn.
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

const interactionEvents = ['pointerdown', 'keydown', 'popstate'];

// keepPrintCopy keeps a copy of the pages for the printer while the screen goes on. On a
// phone window.print returns at once, and its dialog draws the page later, and again when
// a printer is chosen there (https://github.com/jasonday/printThis/issues/193).
function keepPrintCopy() {
  removePrintCopy();
  const pages = /** @type {Element | undefined} */ (document.querySelector('.pages')?.cloneNode(true));
  if (!pages) return;
  pages.classList.add('print-copy');
  document.body.append(pages);
  printCopy = { pages, rule: pageRule && insertRule() };
  for (const eventName of interactionEvents) addEventListener(eventName, removePrintCopy, true);
}

// removePrintCopy removes the copy. A person who touches the page has left the dialog.
function removePrintCopy() {
  for (const eventName of interactionEvents) removeEventListener(eventName, removePrintCopy, true);
  printCopy?.pages.remove();
  deleteRule(printCopy?.rule);
  printCopy = null;
}
