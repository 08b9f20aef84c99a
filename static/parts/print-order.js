// An order of labels while it is put together on the screen: what was chosen, the numbers
// that it takes, the pages that the core lays out, and the printing itself.
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
  numbersLeft,
  previewPrinting,
  recordPrinted,
  releaseNumbers,
  takeNumbers,
} from '../labels/labels.js';
import { hub } from '../sync/hub-state.js';
import { useAction, useData, useLiveData } from './data-hooks.js';
import { labelsPerSheet } from './label-paper.js';
/** @import { Fact, LabelPaper, LabelToPrint, OmittedFrom } from '../dist/calls.d.ts' */

/**
 * Laid are pages as the core laid them out, the first of their labels at start.
 * @typedef {{pages: string[], labels: LabelToPrint[], omitted: OmittedFrom[], paper: LabelPaper, start: number}} Laid
 */

const tickAll = (list) => Object.fromEntries(list.map((one) => [one.id, true]));
const tickedOf = (list, ticked) => list.filter((one) => ticked[one.id]);
export const canGetNumbers = () => hub.value.ok && !exampleMode; // the hub gives more numbers

/** useOrder holds what was chosen to print, and what follows from it. */
export function useOrder(batch, request) {
  const bags = batch.bags.filter((b) => b.address && (request.bag ? b.id === request.bag : b.stage === 'cure'));
  const [what, setWhat] = useState(request.what || (bags.length ? 'bags' : 'blanks'));
  const [tickedBags, setTickedBags] = useState(null); // null: none chosen yet, so those to print
  const [tickedColours, setTickedColours] = useState(() =>
    tickAll(request.colour ? [{ id: request.colour }] : batch.colours),
  );
  const [copies, setCopies] = useState('1');
  const [piece, setPiece] = useState(request.piece || batch.pieces[0]?.id);
  const [typedCount, setTypedCount] = useState('');
  const [again, setAgain] = useState(''); // an earlier printing that is printed again, by its id
  const [start, setStart] = useState(1); // the first free label of the sheet
  const isTags = what === 'tags';
  const isNumbered = what === 'blanks' || isTags;
  const ticked = tickedBags || tickAll(bags.filter((b) => request.bag || b.toPrint));
  const reset = () => {
    setAgain('');
    setTypedCount('');
  };
  const changeWhat = (value) => {
    setWhat(value);
    reset();
  };
  const changePiece = (value) => {
    setPiece(value);
    reset();
  };
  const bagOrder = { bags, ticked, chosenBags: tickedOf(bags, ticked), setTickedBags };
  const bottleOrder = { tickedColours, setTickedColours, copies, setCopies };
  const numberOrder = { isNumbered, isTags, piece, changePiece, typedCount, setTypedCount, again, setAgain };
  return { what, changeWhat, start, setStart, ...bagOrder, ...bottleOrder, ...numberOrder };
}

/** useNumbers gives how many numbers this phone has, what was printed before, and how many to print. */
export function useNumbers(batch, order, labelPaper) {
  const { isNumbered, isTags, what, again, start, typedCount } = order;
  const subject = useData(() => call('id.new', { n: 1 }).then(([id]) => id), [again]);
  const printings = useLiveData(() => (isNumbered ? listPrintings(batch.id, what) : []), [what]);
  const left = useLiveData(() => (isNumbered ? numbersLeft(batch.id) : 0), [what]);
  useEffect(() => () => releaseNumbers(batch.id), []);
  // How many fill a sheet, and how many pieces there are, is what one wants most often.
  const pieceCount = isTags && batch.pieces.find((p) => p.id === order.piece)?.count;
  const usual = pieceCount || (labelPaper?.columns > 1 ? labelsPerSheet(labelPaper) - start + 1 : 10);
  const own = left.value;
  const count = typedCount || String(!canGetNumbers() && own ? Math.min(own, usual) : usual);
  const fault = subject.fault || printings.fault || left.fault;
  return { subject: subject.value, printings: printings.value, own, count, fault };
}

/** pickOf says what is laid out, as the core takes it. */
function pickOf(order, batch) {
  if (order.what === 'bags') return { what: 'bags', bags: order.chosenBags.map((b) => b.number) };
  if (order.isNumbered) return { what: order.what, prints: order.again ? [order.again] : [] };
  const colours = order.what === 'bottles' ? tickedOf(batch.colours, order.tickedColours).map((c) => c.id) : [];
  return { what: order.what, copies: Number(order.copies) || 1, colours };
}

/** newPrinting is a printing that takes numbers, null where none are taken. */
function newPrinting(order, numbers) {
  if (!order.isNumbered || order.again) return null;
  const { what, isTags, piece } = order;
  return { what, piece: isTags ? piece : '', subject: numbers.subject, count: Number(numbers.count) || 0 };
}

const layoutTimeout = 20e3; // ms until the screen says that no layout came

/** useLateFault gives a fault once a layout was waited for too long; key names the one that is waited for. */
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
    hint: 'the app goes on trying; if nothing appears, close the app and open it again',
  });
}

/** useLayout lays out the labels; what was laid out last stays until the next is there. */
export function useLayout(batch, order, numbers, labelPaper) {
  const { sheet, mono, cut, dpi } = paper.value;
  const how = { sheet, start: order.start, mono, cut, dpi };
  const pick = pickOf(order, batch);
  const fresh = newPrinting(order, numbers);
  const isEmpty =
    (order.what === 'bags' && !order.chosenBags.length) ||
    (order.what === 'bottles' && !pick.colours.length) ||
    (fresh && !fresh.subject);
  const key = JSON.stringify([pick, how, fresh]);
  const { value, fault } = useLiveData(async () => {
    if (isEmpty || !labelPaper) return { key, laid: null };
    const laid = await (fresh ? previewPrinting(batch.id, fresh, how) : layOutLabels(batch.id, pick, how));
    return { key, laid: { start: order.start, ...laid } };
  }, [key, Boolean(labelPaper)]);
  const isStale = value?.key !== key;
  const lateFault = useLateFault(isStale && Boolean(labelPaper), key);
  return { how, pick, fresh, laid: isEmpty ? null : value?.laid, isStale, fault: fault || lateFault };
}

/**
 * Prepared is what goes to the printer: pages, what was picked as the core takes it, and the facts that took numbers.
 * @typedef {{laid: Laid, pick: {}, facts?: Fact[]}} Prepared
 * @typedef {(work: (prepared: Prepared) => unknown) => Promise<void>} Print
 */

/**
 * usePrinting gives [print, fault, busy, held]: held are the pages that stay while they are printed.
 * @returns {[print: Print, fault: Fault | undefined, busy: boolean, held: Laid | null]}
 */
export function usePrinting(batch, order, layout, labelPaper) {
  const [run, fault, busy] = useAction();
  const [held, setHeld] = useState(/** @type {Laid | null} */ (null));
  /** @type {() => Promise<Prepared>} */
  const prepare = async () => {
    const { fresh, how, pick, laid } = layout;
    if (!fresh) return { laid, pick };
    const facts = await takeNumbers(batch.id, fresh, how.sheet);
    const taken = { what: order.what, prints: facts.map((f) => f.id) };
    const pages = { start: how.start, ...(await layOutLabels(batch.id, taken, how)) };
    setHeld(pages);
    return { laid: pages, pick: taken, facts };
  };
  /** @type {(prepared: Prepared) => Promise<void>} */
  const finish = async ({ laid: { labels }, facts }) => {
    rememberNextLabel(layout.how, labels.length, labelsPerSheet(labelPaper));
    order.setStart(1);
    order.setTypedCount('');
    const words = labels.length === 1 ? `Label ${labels[0].tag.number} printed` : `${labels.length} labels printed`;
    if (facts) showNumbersTaken(words, facts, order.setAgain);
    else await recordBagLabels(batch.id, order.what, labels, layout.how.sheet, words);
    order.setTickedBags(null);
  };
  const print = (work) =>
    run(async () => {
      try {
        const prepared = await prepare();
        if ((await work(prepared)) !== false) await finish(prepared);
        else if (prepared.facts) order.setAgain(prepared.facts[0].id);
      } finally {
        setHeld(null);
      }
    });
  return [print, fault, busy, held];
}

/** rememberNextLabel keeps at which label a half-used sheet goes on. */
function rememberNextLabel({ sheet, start }, count, perSheet) {
  if (perSheet > 1) setPaper({ next: { ...paper.value.next, [sheet]: ((start - 1 + count) % perSheet) + 1 } });
}

/** showNumbersTaken offers to undo a printing that took numbers, and selects it to print again. */
function showNumbersTaken(words, facts, setAgain) {
  setAgain(facts[0].id);
  showToast(words, 'Undo', () => {
    setAgain('');
    return withdrawFacts(facts.map((f) => f.id));
  });
}

async function recordBagLabels(batch, what, labels, sheet, words) {
  if (what !== 'bags') return showToast(words);
  const single = labels.length === 1 && `Label of bag ${labels[0].tag.number} printed`;
  await recordPrinted(batch, labels, sheet, single || words);
}
