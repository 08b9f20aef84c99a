// Labels: what to print, on which paper, and the pages as the printer will have them.
import { html } from '../parts/html.js';
import { useEffect, useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { hub } from '../sync/hub-state.js';
import { inExample } from '../device/example-mode.js';
import { enough, lay, left, preview, printed, printings, savePdf, take } from '../labels/labels.js';
import { print } from '../labels/print.js';
import { isIn } from '../sync/sync-round.js';
import { paper, setPaper } from '../device/settings.js';
import { say } from '../device/toast.js';
import { takeBack } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { useAsk, useDo, useLive } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';
import { Wrong } from '../parts/messages.js';
import { takePrint } from '../parts/screen-handoff.js';
import { PaperRow, useStock } from '../parts/label-paper.js';
import { Closer, Pages, Lacks } from '../parts/label-pages.js';
import { What, Bags, Blanks, Bottles, span } from '../parts/print-choice.js';

export function Labels({ id }) {
  const { value: batch, fault } = useLive(() => batchView(id), [id]);
  const [asked] = useState(takePrint);
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
  const { value: subject } = useAsk(() => call('id.new', { n: 1 }).then(([x]) => x), [again]);
  const { stock, fault: noStock } = useStock();
  const [run, wrong, busy] = useDo();
  const numbered = what === 'blanks' || what === 'tags',
    tags = what === 'tags';
  const { value: before } = useLive(() => (numbered ? printings(id, what) : []), [what]);
  const { value: own } = useLive(() => (numbered ? left(id) : 0), [what]);
  useEffect(() => () => enough(id), []);

  // How many fill a sheet, and how many pieces there are, is what one wants most often.
  const usual =
    (tags && batch.pieces.find((p) => p.id === piece)?.count) ||
    (stock?.columns > 1 ? stock.columns * stock.rows - start + 1 : 10);
  const far = !hub.value.ok || inExample; // no more numbers can be had
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
  const { value: live, fault: notLaid } = useLive(async () => {
    if (nothing || !stock) return { key };
    return { key, start, ...(await (fresh ? preview(id, fresh, how) : lay(id, pick, how))) };
  }, [key, Boolean(stock)]);
  const [held, hold] = useState(null); // what is being printed stays while it is
  const laid = held || (live?.pages && !nothing ? live : null),
    stale = !held && live?.key !== key; // the last one stays until the next is there
  const n = laid?.labels.length || 0;

  const prepared = async () => {
    // what is printed, its numbers taken
    if (!fresh) return { laid: live, pick };
    const facts = await take(id, fresh, sheet),
      prints = facts.map((f) => f.id);
    const got = { laid: { start, ...(await lay(id, { what, prints }, how)) }, pick: { what, prints }, facts };
    hold(got.laid);
    return got;
  };
  const after = async ({ laid: done, facts }) => {
    const labels = done.labels,
      each = stock.columns * stock.rows;
    if (each > 1) setPaper({ next: { ...paper.value.next, [sheet]: ((start - 1 + labels.length) % each) + 1 } });
    begin(1);
    count('');
    const words = labels.length === 1 ? `Label ${labels[0].tag.number} printed` : `${labels.length} labels printed`;
    if (facts) {
      setAgain(facts[0].id);
      say(words, 'Undo', () => {
        setAgain('');
        takeBack(facts.map((f) => f.id));
      });
    } else
      await printed(
        id,
        labels,
        sheet,
        what === 'bags' && labels.length === 1 ? `Label of bag ${labels[0].tag.number} printed` : words,
      );
    if (!facts && what !== 'bags') say(words);
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
  const toPaper = () => go(print);
  const toFile = () => go((got) => savePdf(id, got.pick, how));

  const thing = {
    bags: n === 1 ? 'the label' : `${n} labels`,
    blanks: 'blanks',
    tags: n === 1 ? 'tag' : 'tags',
    bottles: n === 1 ? 'the label' : `${n} labels`,
    bucket: n === 1 ? 'the label' : `${n} labels`,
  }[what];
  const numbers = numbered && laid && span({ from: laid.labels[0].tag.number, to: laid.labels.at(-1).tag.number });
  const ready = laid && !stale && !held && !busy && !notLaid;
  const pdf = hub.value.ok && isIn(hub.value.role) && !inExample;
  return html`<${Screen} here="batches" back=${back} title="Print" name="Labels" fault=${fault || wrong}
    acts=${html`<button type="button" class="act" disabled=${!ready} onClick=${toPaper}><${Icon} name="print" />${['Print', n > 0 && thing, numbers, again && 'again'].filter(Boolean).join(' ')}</button>
      ${pdf && html`<button type="button" class="act two" disabled=${!ready} onClick=${toFile}>PDF<span class="aside"> to save</span></button>`}`}>
    <div class="order what">
      <${What} batch=${batch} value=${what} onChange=${(v) => {
        setWhat(v);
        setAgain('');
        count('');
      }} />
      ${what === 'bags' && (bags.length ? html`<${Bags} bags=${bags} ticked=${ticked} onTick=${tick} />` : html`<p class="note">No bag is curing.</p>`)}
      ${
        numbered &&
        html`<${Blanks} tags=${tags} pieces=${batch.pieces} piece=${piece} onPiece=${(v) => {
          setPiece(v);
          count('');
          setAgain('');
        }} count=${many} onCount=${count} printings=${before} again=${again} onAgain=${setAgain} />`
      }
      ${what === 'bottles' && html`<${Bottles} colours=${batch.colours} ticked=${colours} onTick=${tint} copies=${copies} onCopies=${copy} />`}
      <section><h2>Paper</h2><${PaperRow} stock=${stock} fault=${noStock} start=${start} onStart=${begin} /></section>
    </div>
    ${what === 'bags' && bags.length > 0 && !chosen.length && html`<p class="note">The labels of all bags are printed, and still hold.</p>`}
    <${Wrong} fault=${notLaid} />
    ${
      fresh &&
      own > 0 &&
      own < fresh.count &&
      far &&
      html`<div class="order"><p class="note">This phone has ${own} numbers of its own, and the hub, which gives more, is not reached.${laid ? ' The others bear this phone’s letter.' : ''}</p>
      <button type="button" class="act two small wide" onClick=${() => count(String(own))}>Print ${own} now</button></div>`
    }
    ${
      laid &&
      html`<div class=${stale ? 'stale' : ''}>${laid.stock.columns > 1 && html`<${Closer} laid=${laid} />`}<${Pages} laid=${laid} /></div>
      <div class="order">
        <${Lacks} laid=${laid} />
        <p class="note">Print at 100 %, not “fit to page”. By laser, or tie the tag on in a small clear bag: inkjet runs when it gets wet.</p>
        ${!hub.value.ok && !inExample && html`<p class="note">The hub is not reached: the print dialog can save a PDF too.</p>`}
      </div>`
    }
  </${Screen}>`;
}
