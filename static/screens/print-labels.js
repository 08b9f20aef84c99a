// PrintLabels: what to print, on which paper, and the pages as the printer will have them.
import { html } from '../parts/html.js';
import { useEffect, useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { hub } from '../sync/hub-state.js';
import { exampleMode } from '../device/example-mode.js';
import {
  releaseNumbers,
  layOutLabels,
  numbersLeft,
  previewPrinting,
  recordPrinted,
  listPrintings,
  saveLabelsPdf,
  takeNumbers,
} from '../labels/labels.js';
import { printPage } from '../labels/print.js';
import { isMember } from '../sync/sync-round.js';
import { paper, setPaper } from '../device/settings.js';
import { showToast } from '../device/toast.js';
import { withdrawFacts } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { useData, useAction, useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';
import { ErrorBox } from '../parts/messages.js';
import { receivePrintOrder } from '../parts/screen-handoff.js';
import { PaperSettings, useLabelPaper } from '../parts/label-paper.js';
import { LabelCloseUp, LabelPages, LabelOmissions } from '../parts/label-pages.js';
import { PrintKindChoice, BagChoice, BlankChoice, BottleChoice, numberSpan } from '../parts/print-choice.js';

export function PrintLabels({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [asked] = useState(receivePrintOrder);
  const back = asked.bag
    ? { href: `/bag/${id}/${asked.bag}`, words: 'Bag' }
    : { href: asked.back || `/batch/${id}`, words: asked.words || batch?.name || 'Batch' };
  if (!batch) return html`<${Screen} here="batches" back=${back} title="Print" name="Labels" fault=${fault} />`;
  return html`<${Order} batch=${batch} asked=${asked} back=${back} fault=${fault} />`;
}

const all = (things) => Object.fromEntries(things.map((t) => [t.id, true]));
const on = (things, ticked) => things.filter((t) => ticked[t.id]);

function Order({ batch, asked, back, fault }) {
  const id = batch.id;
  const bags = batch.bags.filter((b) => b.address && (asked.bag ? b.id === asked.bag : b.stage === 'cure'));
  const [what, setWhat] = useState(asked.what || (bags.length ? 'bags' : 'blanks'));
  const [ticks, tick] = useState(null); // of bags: none chosen yet is those to print
  const [colours, tint] = useState(() => all(asked.colour ? [{ id: asked.colour }] : batch.colours));
  const [copies, copy] = useState('1');
  const [piece, setPiece] = useState(asked.piece || batch.pieces[0]?.id);
  const [counted, count] = useState('');
  const [again, setAgain] = useState('');
  const [start, begin] = useState(1);
  const { value: subject } = useData(() => call('id.new', { n: 1 }).then(([x]) => x), [again]);
  const { stock, fault: noStock } = useLabelPaper();
  const [run, wrong, busy] = useAction();
  const numbered = what === 'blanks' || what === 'tags',
    tags = what === 'tags';
  const { value: before } = useLiveData(() => (numbered ? listPrintings(id, what) : []), [what]);
  const { value: own } = useLiveData(() => (numbered ? numbersLeft(id) : 0), [what]);
  useEffect(() => () => releaseNumbers(id), []);

  // How many fill a sheet, and how many pieces there are, is what one wants most often.
  const usual =
    (tags && batch.pieces.find((p) => p.id === piece)?.count) ||
    (stock && stock.columns > 1 ? stock.columns * stock.rows - start + 1 : 10);
  const far = !hub.value.ok || exampleMode; // no more numbers can be had
  const many = counted || String(far && own ? Math.min(own, usual) : usual);
  const ticked = ticks || all(bags.filter((b) => asked.bag || b.toPrint));
  const chosen = on(bags, ticked);
  const { sheet, mono, cut, dpi } = paper.value,
    how = { sheet, start, mono, cut, dpi };
  const pick =
    what === 'bags'
      ? { what, bags: chosen.map((b) => b.number) }
      : numbered
        ? { what, prints: again ? [again] : [] }
        : {
            what,
            copies: Number(copies) || 1,
            colours: what === 'bottles' ? on(batch.colours, colours).map((c) => c.id) : [],
          };
  const fresh = numbered && !again && { what, piece: tags ? piece : '', subject, count: Number(many) || 0 };
  const nothing =
    (what === 'bags' && !chosen.length) || (what === 'bottles' && !pick.colours.length) || (fresh && !subject);
  const key = JSON.stringify([pick, how, fresh]);
  const { value: live, fault: notLaid } = useLiveData(
    /** @returns {Promise<any>} */ async () => {
      if (nothing || !stock) return { key };
      return { key, start, ...(await (fresh ? previewPrinting(id, fresh, how) : layOutLabels(id, pick, how))) };
    },
    [key, Boolean(stock)],
  );
  const [held, hold] = useState(/** @type {any} */ (null)); // what is being printed stays while it is
  /** @type {any} */
  const laid = held || (live?.pages && !nothing ? live : null),
    stale = !held && live?.key !== key; // the last one stays until the next is there
  const n = laid?.labels.length || 0;

  /** @returns {Promise<any>} */
  const prepared = async () => {
    // what is printed, its numbers taken
    if (!fresh) return { laid: live, pick };
    const facts = await takeNumbers(id, fresh, sheet),
      prints = facts.map((f) => f.id);
    const got = { laid: { start, ...(await layOutLabels(id, { what, prints }, how)) }, pick: { what, prints }, facts };
    hold(got.laid);
    return got;
  };
  const after = async ({ laid: done, facts }) => {
    const labels = done.labels,
      each = stock ? stock.columns * stock.rows : 1;
    if (each > 1) setPaper({ next: { ...paper.value.next, [sheet]: ((start - 1 + labels.length) % each) + 1 } });
    begin(1);
    count('');
    const words = labels.length === 1 ? `Label ${labels[0].tag.number} printed` : `${labels.length} labels printed`;
    if (facts) {
      setAgain(facts[0].id);
      showToast(words, 'Undo', () => {
        setAgain('');
        withdrawFacts(facts.map((f) => f.id));
      });
    } else
      await recordPrinted(
        id,
        labels,
        sheet,
        what === 'bags' && labels.length === 1 ? `Label of bag ${labels[0].tag.number} printed` : words,
      );
    if (!facts && what !== 'bags') showToast(words);
    tick(null);
  };
  const go = (work) =>
    run(async () => {
      try {
        const got = await prepared();
        if ((await work(got)) !== false) await after(got);
        else if (got.facts) setAgain(got.facts[0].id);
      } finally {
        hold(null);
      }
    });
  const toPaper = () => go(printPage);
  const toFile = () => go((got) => saveLabelsPdf(id, got.pick, how));

  const thing = {
    bags: n === 1 ? 'the label' : `${n} labels`,
    blanks: 'blanks',
    tags: n === 1 ? 'tag' : 'tags',
    bottles: n === 1 ? 'the label' : `${n} labels`,
    bucket: n === 1 ? 'the label' : `${n} labels`,
  }[what];
  const numbers =
    numbered && laid && numberSpan({ from: laid.labels[0].tag.number, to: laid.labels.at(-1).tag.number });
  const ready = laid && !stale && !held && !busy && !notLaid;
  const pdf = hub.value.ok && isMember(hub.value.role) && !exampleMode;
  return html`<${Screen} here="batches" back=${back} title="Print" name="Labels" fault=${fault || wrong}
    acts=${html`<button type="button" class="act" disabled=${!ready} onClick=${toPaper}><${Icon} name="print" />${['Print', n > 0 && thing, numbers, again && 'again'].filter(Boolean).join(' ')}</button>
      ${pdf && html`<button type="button" class="act two" disabled=${!ready} onClick=${toFile}>PDF<span class="aside"> to save</span></button>`}`}>
    <div class="order what">
      <${PrintKindChoice} batch=${batch} value=${what} onChange=${(v) => {
        setWhat(v);
        setAgain('');
        count('');
      }} />
      ${what === 'bags' && (bags.length ? html`<${BagChoice} bags=${bags} ticked=${ticked} onTick=${tick} />` : html`<p class="note">No bag is curing.</p>`)}
      ${
        numbered &&
        html`<${BlankChoice} tags=${tags} pieces=${batch.pieces} piece=${piece} onPiece=${(v) => {
          setPiece(v);
          count('');
          setAgain('');
        }} count=${many} onCount=${count} printings=${before} again=${again} onAgain=${setAgain} />`
      }
      ${what === 'bottles' && html`<${BottleChoice} colours=${batch.colours} ticked=${colours} onTick=${tint} copies=${copies} onCopies=${copy} />`}
      <section><h2>Paper</h2><${PaperSettings} stock=${stock} fault=${noStock} start=${start} onStart=${begin} /></section>
    </div>
    ${what === 'bags' && bags.length > 0 && !chosen.length && html`<p class="note">The labels of all bags are printed, and still hold.</p>`}
    <${ErrorBox} fault=${notLaid} />
    ${
      fresh &&
      own &&
      own < fresh.count &&
      far &&
      html`<div class="order"><p class="note">This phone has ${own} numbers of its own, and the hub, which gives more, is not reached.${laid ? ' The others bear this phone’s letter.' : ''}</p>
      <button type="button" class="act two small wide" onClick=${() => count(String(own))}>Print ${own} now</button></div>`
    }
    ${
      laid &&
      html`<div class=${stale ? 'stale' : ''}>${laid.stock.columns > 1 && html`<${LabelCloseUp} laid=${laid} />`}<${LabelPages} laid=${laid} /></div>
      <div class="order">
        <${LabelOmissions} laid=${laid} />
        <p class="note">Print at 100 %, not “fit to page”. By laser, or tie the tag on in a small clear bag: inkjet runs when it gets wet.</p>
        ${!hub.value.ok && !exampleMode && html`<p class="note">The hub is not reached: the print dialog can save a PDF too.</p>`}
      </div>`
    }
  </${Screen}>`;
}
