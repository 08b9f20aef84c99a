// Pages of labels as they will be printed, and notes on what did not fit.
import { html, classes } from './html.js';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { clearPageSize, setPageSize } from '../labels/print.js';

const maxShown = 2; // pages shown at first

/** LabelPages draws the pages that the core laid out: as wide as the screen, or in their own size in print. */
export function LabelPages({ labelLayout }) {
  const { pages, paper } = labelLayout;
  const [showsAll, setShowsAll] = useState(false);
  useLayoutEffect(() => {
    setPageSize(paper);
    return clearPageSize;
  }, [paper.pageWidth, paper.pageHeight]);
  const isSingle = paper.columns * paper.rows === 1;
  const shownCount = isSingle ? maxShown * 2 : maxShown;
  const sideBySide = isSingle && paper.pageWidth < paper.pageHeight * 1.3 && pages.length > 1;
  const layout = [isSingle && 'label-roll', sideBySide && 'side-by-side', showsAll && 'show-all'];
  return html`<div class=${classes('pages', ...layout)}>
    ${pages.map(
      (svg, i) => html`<div class=${classes('page', i >= shownCount && 'extra-page')} key=${i} role="img"
        style=${{ '--page-height': `${paper.pageHeight}mm` }}
        aria-label=${`Page ${i + 1} of ${pages.length}, as it is printed`}
        dangerouslySetInnerHTML=${{ __html: svg }} />`,
    )}
    ${
      pages.length > shownCount &&
      !showsAll &&
      html`<button type="button" class="text-button"
        onClick=${() => setShowsAll(true)}>Show all ${pages.length} pages</button>`
    }
  </div>`;
}

/** LabelCloseUp shows the first label of a sheet as large as the screen allows. */
export function LabelCloseUp({ labelLayout: { pages, first, labels } }) {
  const pageRef = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => {
    const { x, y, width, height } = first;
    for (const [name, value] of Object.entries({ viewBox: `${x} ${y} ${width} ${height}`, width, height }))
      pageRef.current.firstChild.setAttribute(name, value);
  });
  return html`<div class="page close-up" ref=${pageRef} role="img" aria-label=${`Label ${labels[0].tag.number}, larger`}
    dangerouslySetInnerHTML=${{ __html: pages[0] }} />`;
}

/** joinWords joins words with commas and "and": "8, 9 and 12". */
export const joinWords = (words) =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;

/** labelsHave begins a sentence about the labels with these numbers, out of total: "Labels 8 and 9 have". */
function labelsHave(numbers, total) {
  const isAll = numbers.length === total;
  if (numbers.length === 1) return isAll ? 'The label has' : `Label ${numbers[0]} has`;
  if (isAll) return 'The labels have';
  return numbers.length > 6 ? `${numbers.length} labels have` : `Labels ${joinWords(numbers)} have`;
}

/** LabelOmissions says what did not fit on labels, and which characters the font does not have. */
export function LabelOmissions({ labelLayout: { omitted, labels } }) {
  const groups = new Map();
  for (const m of omitted)
    if (m.dropped.length) groups.set(joinWords(m.dropped), [...(groups.get(joinWords(m.dropped)) || []), m.number]);
  const unknown = [...new Set(omitted.flatMap((m) => [...m.unknown]))].join(' ');
  return html`${[...groups].map(
    ([what, numbers]) =>
      html`<p class="note" key=${what}>${labelsHave(numbers, labels.length)} no room for ${what}.</p>`,
  )}
    ${unknown && html`<p class="note">${unknown} cannot be printed: □ is printed instead.</p>`}`;
}
