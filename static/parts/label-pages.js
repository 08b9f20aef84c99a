// Pages of labels as they will be printed, and what the labels had no room for.
import { html, classes } from './html.js';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { clearPageSize, setPageSize } from '../labels/print.js';

const maxShown = 2; // pages before one asks for all

/** LabelPages draws what the core laid out: on the screen as wide as it is, in print in its own size. */
export function LabelPages({ laid }) {
  const { pages, paper } = laid;
  const [all, showAll] = useState(false);
  useLayoutEffect(() => {
    setPageSize(paper);
    return clearPageSize;
  }, [paper.pageWidth, paper.pageHeight]);
  const single = paper.columns * paper.rows === 1;
  const few = single ? maxShown * 2 : maxShown;
  const sideBySide = single && paper.pageWidth < paper.pageHeight * 1.3 && pages.length > 1;
  return html`<div class=${classes('pages', single && 'roll', sideBySide && 'side', all && 'all')}>
    ${pages.map(
      (svg, i) => html`<div class=${classes('page', i >= few && 'more')} key=${i} role="img"
        style=${{ '--high': `${paper.pageHeight}mm` }}
        aria-label=${`Page ${i + 1} of ${pages.length}, as it is printed`}
        dangerouslySetInnerHTML=${{ __html: svg }} />`,
    )}
    ${
      pages.length > few &&
      !all &&
      html`<button type="button" class="plain" onClick=${() => showAll(true)}>Show all ${pages.length} pages</button>`
    }
  </div>`;
}

/** LabelCloseUp shows one label of a sheet as large as the screen lets it: the first. */
export function LabelCloseUp({ laid: { pages, first, labels } }) {
  const box = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => {
    const { x, y, width, height } = first;
    for (const [name, to] of Object.entries({ viewBox: `${x} ${y} ${width} ${height}`, width, height }))
      box.current.firstChild.setAttribute(name, to);
  });
  return html`<div class="page closer" ref=${box} role="img" aria-label=${`Label ${labels[0].tag.number}, larger`}
    dangerouslySetInnerHTML=${{ __html: pages[0] }} />`;
}

/** joinWords joins words as one says them: "8, 9 and 12". */
export const joinWords = (words) =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;

/** labelsHave begins a sentence on labels by their numbers, of so many in all: "Labels 8 and 9 have". */
function labelsHave(numbers, total) {
  const isAll = numbers.length === total;
  if (numbers.length === 1) return isAll ? 'The label has' : `Label ${numbers[0]} has`;
  if (isAll) return 'The labels have';
  return numbers.length > 6 ? `${numbers.length} labels have` : `Labels ${joinWords(numbers)} have`;
}

/** LabelOmissions says what labels had no room for, and which characters no face has. */
export function LabelOmissions({ laid: { omitted, labels } }) {
  const groups = new Map();
  for (const m of omitted)
    if (m.dropped.length) groups.set(joinWords(m.dropped), [...(groups.get(joinWords(m.dropped)) || []), m.number]);
  const unknown = [...new Set(omitted.flatMap((m) => [...m.unknown]))].join(' ');
  return html`${[...groups].map(
    ([what, numbers]) =>
      html`<p class="note" key=${what}>${labelsHave(numbers, labels.length)} no room for ${what}.</p>`,
  )}
    ${unknown && html`<p class="note">There is no letter for ${unknown} here: □ stands for it.</p>`}`;
}
