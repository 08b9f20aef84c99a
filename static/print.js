// Printing: the browser is told the very size of the paper, by a rule of its own in
// the style of print, since a page's policy allows no other.
import {Fault} from '/fault.js';

let rule = null; // the rule that stands now

// setPage says on which paper the page prints: pages of that size, without a margin.
export function setPage({ pageWidth, pageHeight }) {
  clearPage();
  const sheet = [...document.styleSheets].find((s) => s.href?.endsWith('/css/print.css'));
  if (!sheet) return;
  rule = sheet.cssRules[sheet.insertRule(`@page { size: ${pageWidth}mm ${pageHeight}mm; margin: 0; }`, sheet.cssRules.length)];
}

// clearPage leaves the paper to the printer again.
export function clearPage() {
  const rules = rule?.parentStyleSheet, at = rules ? [...rules.cssRules].indexOf(rule) : -1;
  if (at >= 0) rules.deleteRule(at);
  rule = null;
}

// print prints what is drawn, once it is drawn.
export async function print() {
  await document.fonts.ready;
  for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
  if (!window.print) throw new Fault({ code: 'unavailable', sentence: 'this browser cannot print', hint: 'save the labels as a PDF near the hub, or open the app in another browser' });
  window.print();
}
