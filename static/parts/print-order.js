// A print order while it is put together on the screen: what was chosen, the numbers it needs,
// the pages that the core lays out, and the printing itself.
import { useEffect, useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { Fault } from '../core/fault.js';
import { exampleMode } from '../device/example-mode.js';
import { paper, setPaper } from '../device/settings.js';
import { showToast } from '../device/toast.js';
import { withdrawFacts } from '../journal/journal.js';
import {
  layOutLabels,
  listPrintings,
  countOwnNumbers,
  previewPrinting,
  recordPrinted,
  clearNumberRequest,
  reserveNumbers,
} from '../labels/labels.js';
import { hub } from '../sync/hub-state.js';
import { useAction, useData, useLiveData } from './data-hooks.js';
import { labelsPerSheet } from './label-paper.js';
/** @import { Fact, LabelPaper, LabelToPrint, LabelOmissions } from '../dist/calls.d.ts' */

/**
 * LabelLayout holds the pages that the core laid out; start is the position of the first label on its sheet.
 * @typedef {{pages: string[], labels: LabelToPrint[], omitted: LabelOmissions[], paper: LabelPaper,
 *   start: number}} LabelLayout
 */

const tickAll = (list) => Object.fromEntries(list.map((one) => [one.id, true]));
const tickedOf = (list, ticked) => list.filter((one) => ticked[one.id]);
export const canGetNumbers = () => hub.value.isReached && !exampleMode; // the hub hands out more numbers

/** useOrder holds what the person chose to print. */
export function useOrder(batch, request) {
  const bags = batch.bags.filter((b) => b.address && (request.bag ? b.id === request.bag : b.stage === 'cure'));
  const [labelKind, setLabelKind] = useState(request.what || (bags.length ? 'bags' : 'blanks'));
  const [tickedBags, setTickedBags] = useState(null); // null: nothing chosen yet, so all that still need printing
  const [tickedColours, setTickedColours] = useState(() =>
    tickAll(request.colour ? [{ id: request.colour }] : batch.colours),
  );
  const [copies, setCopies] = useState('1');
  const [piece, setPiece] = useState(request.piece || batch.pieces[0]?.id);
  const [typedCount, setTypedCount] = useState('');
  const [reprintId, setReprintId] = useState(''); // the id of the earlier printing to print again, or ''
  const [start, setStart] = useState(1); // the first free label of the sheet
  const isTags = labelKind === 'tags';
  const isNumbered = labelKind === 'blanks' || isTags;
  const ticked = tickedBags || tickAll(bags.filter((b) => request.bag || b.toPrint));
  const reset = () => {
    setReprintId('');
    setTypedCount('');
  };
  const changeLabelKind = (value) => {
    setLabelKind(value);
    reset();
  };
  const changePiece = (value) => {
    setPiece(value);
    reset();
  };
  const bagOrder = { bags, ticked, chosenBags: tickedOf(bags, ticked), setTickedBags };
  const bottleOrder = { tickedColours, setTickedColours, copies, setCopies };
  const numberOrder = { isNumbered, isTags, piece, changePiece, typedCount, setTypedCount, reprintId, setReprintId };
  return { labelKind, changeLabelKind, start, setStart, ...bagOrder, ...bottleOrder, ...numberOrder };
}

/** useNumbers returns how many numbers this phone has, the earlier printings, and how many labels to print. */
export function useNumbers(batch, order, labelPaper) {
  const { isNumbered, isTags, labelKind, reprintId, start, typedCount } = order;
  const subject = useData(() => call('id.new', { n: 1 }).then(([id]) => id), [reprintId]);
  const printings = useLiveData(() => (isNumbered ? listPrintings(batch.id, labelKind) : []), [labelKind]);
  const ownNumbers = useLiveData(() => (isNumbered ? countOwnNumbers(batch.id) : 0), [labelKind]);
  useEffect(() => () => clearNumberRequest(batch.id), []);
  // The usual wish is to fill the sheet, or to have one tag for each piece.
  const pieceCount = isTags && batch.pieces.find((p) => p.id === order.piece)?.count;
  const defaultCount = pieceCount || (labelPaper?.columns > 1 ? labelsPerSheet(labelPaper) - start + 1 : 10);
  const ownCount = ownNumbers.value;
  const count = typedCount || String(!canGetNumbers() && ownCount ? Math.min(ownCount, defaultCount) : defaultCount);
  const fault = subject.fault || printings.fault || ownNumbers.fault;
  return { subject: subject.value, printings: printings.value, ownCount, count, fault };
}

/** selectionOf says which labels to lay out, in the form that the core expects. */
function selectionOf(order, batch) {
  if (order.labelKind === 'bags') return { what: 'bags', bags: order.chosenBags.map((b) => b.number) };
  if (order.isNumbered) return { what: order.labelKind, prints: order.reprintId ? [order.reprintId] : [] };
  const colours = order.labelKind === 'bottles' ? tickedOf(batch.colours, order.tickedColours).map((c) => c.id) : [];
  return { what: order.labelKind, copies: Number(order.copies) || 1, colours };
}

/** printingFor returns a printing that needs new numbers, or null if none are needed. */
function printingFor(order, numbers) {
  if (!order.isNumbered || order.reprintId) return null;
  const { labelKind, isTags, piece } = order;
  return { what: labelKind, piece: isTags ? piece : '', subject: numbers.subject, count: Number(numbers.count) || 0 };
}

const layoutTimeout = 20e3; // ms after which the screen says that there is no layout

/** useLateFault returns a fault if a layout takes too long; key identifies the layout. */
function useLateFault(isWaiting, key) {
  const [isLate, setIsLate] = useState(false);
  useEffect(() => {
    setIsLate(false);
    if (!isWaiting) return;
    const timer = setTimeout(() => setIsLate(true), layoutTimeout);
    return () => clearTimeout(timer);
  }, [isWaiting, key]);
  if (!isLate) return undefined;
  return new Fault({
    code: 'unavailable',
    sentence: `the labels were not laid out within ${layoutTimeout / 1000} s`,
    hint: 'the app keeps trying; if nothing appears, close the app and open it again',
  });
}

/** useLayout lays out the labels; the last layout stays until the next one is ready. */
export function useLayout(batch, order, numbers, labelPaper) {
  const { sheet, mono, cut, dpi } = paper.value;
  const paperOptions = { sheet, start: order.start, mono, cut, dpi };
  const selection = selectionOf(order, batch);
  const printing = printingFor(order, numbers);
  const isEmpty =
    (order.labelKind === 'bags' && !order.chosenBags.length) ||
    (order.labelKind === 'bottles' && !selection.colours.length) ||
    (printing && !printing.subject);
  const key = JSON.stringify([selection, paperOptions, printing]);
  const { value, fault } = useLiveData(async () => {
    if (isEmpty || !labelPaper) return { key, labelLayout: null };
    const labelLayout = await (printing
      ? previewPrinting(batch.id, printing, paperOptions)
      : layOutLabels(batch.id, selection, paperOptions));
    return { key, labelLayout: { start: order.start, ...labelLayout } };
  }, [key, Boolean(labelPaper)]);
  const isStale = value?.key !== key;
  const lateFault = useLateFault(isStale && Boolean(labelPaper), key);
  return {
    paperOptions,
    selection,
    printing,
    labelLayout: isEmpty ? null : value?.labelLayout,
    isStale,
    fault: fault || lateFault,
  };
}

/**
 * Prepared is what goes to the printer: the pages, the selection of labels, and the facts that reserved their numbers.
 * @typedef {{labelLayout: LabelLayout, selection: {}, facts?: Fact[]}} Prepared
 * @typedef {(work: (prepared: Prepared) => unknown) => Promise<void>} Print
 */

/**
 * usePrinting returns [print, fault, busy, printedLayout]: printedLayout has the pages that stay on the screen
 * until they are printed.
 * @returns {[print: Print, fault: Fault | undefined, busy: boolean, printedLayout: LabelLayout | null]}
 */
export function usePrinting(batch, order, layout, labelPaper) {
  const [run, fault, busy] = useAction();
  const [printedLayout, setPrintedLayout] = useState(/** @type {LabelLayout | null} */ (null));
  /** @type {() => Promise<Prepared>} */
  const prepare = async () => {
    const { printing, paperOptions, selection, labelLayout } = layout;
    if (!printing) return { labelLayout, selection };
    const facts = await reserveNumbers(batch.id, printing, paperOptions.sheet);
    const reserved = { what: order.labelKind, prints: facts.map((f) => f.id) };
    const pages = { start: paperOptions.start, ...(await layOutLabels(batch.id, reserved, paperOptions)) };
    setPrintedLayout(pages);
    return { labelLayout: pages, selection: reserved, facts };
  };
  /** @type {(prepared: Prepared) => Promise<void>} */
  const finish = async ({ labelLayout: { labels }, facts }) => {
    rememberNextLabel(layout.paperOptions, labels.length, labelsPerSheet(labelPaper));
    order.setStart(1);
    order.setTypedCount('');
    const message = labels.length === 1 ? `Label ${labels[0].tag.number} printed` : `${labels.length} labels printed`;
    if (facts) showNumbersTaken(message, facts, order.setReprintId);
    else await recordBagLabels(batch.id, order.labelKind, labels, layout.paperOptions.sheet, message);
    order.setTickedBags(null);
  };
  const print = (work) =>
    run(async () => {
      try {
        const prepared = await prepare();
        if ((await work(prepared)) !== false) await finish(prepared);
        else if (prepared.facts) order.setReprintId(prepared.facts[0].id);
      } finally {
        setPrintedLayout(null);
      }
    });
  return [print, fault, busy, printedLayout];
}

/** rememberNextLabel remembers the next free label of a half-used sheet. */
function rememberNextLabel({ sheet, start }, count, perSheet) {
  if (perSheet > 1) setPaper({ next: { ...paper.value.next, [sheet]: ((start - 1 + count) % perSheet) + 1 } });
}

/** showNumbersTaken offers to undo a printing that used up numbers, and selects it for printing again. */
function showNumbersTaken(message, facts, setReprintId) {
  setReprintId(facts[0].id);
  showToast(message, 'Undo', () => {
    setReprintId('');
    return withdrawFacts(facts.map((f) => f.id));
  });
}

async function recordBagLabels(batch, what, labels, sheet, message) {
  if (what !== 'bags') return showToast(message);
  const singleMessage = labels.length === 1 && `Label of bag ${labels[0].tag.number} printed`;
  await recordPrinted(batch, labels, sheet, singleMessage || message);
}
