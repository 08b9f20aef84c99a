// Labels: what to print, on which paper, and the pages as the printer will have them.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { exampleMode } from '../device/example-mode.js';
import { batchView } from '../journal/views.js';
import { saveLabelsPdf } from '../labels/labels.js';
import { printPage } from '../labels/print.js';
import { hub } from '../sync/hub-state.js';
import { isMember } from '../sync/sync-round.js';
import { useLiveData } from '../parts/data-hooks.js';
import { Icon } from '../parts/icons.js';
import { LabelCloseUp, LabelOmissions, LabelPages } from '../parts/label-pages.js';
import { PaperSettings, useLabelPaper } from '../parts/label-paper.js';
import { ErrorBox } from '../parts/messages.js';
import { BagChoice, BlankChoice, BottleChoice, PrintKindChoice, numberSpan } from '../parts/print-choice.js';
import { canGetNumbers, useLayout, useNumbers, useOrder, usePrinting } from '../parts/print-order.js';
import { receivePrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';

export function PrintLabels({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [request] = useState(receivePrintOrder); // what the screen before asked for
  const back = request.bag
    ? { href: `/bag/${id}/${request.bag}`, words: 'Bag' }
    : { href: request.back || `/batch/${id}`, words: request.words || batch?.name || 'Batch' };
  const frame = { here: 'batches', back, title: 'Print', name: 'Labels', fault };
  if (!batch) return html`<${Screen} ...${frame} />`;
  return html`<${PrintOrder} frame=${frame} batch=${batch} request=${request} />`;
}

function PrintOrder({ frame, batch, request }) {
  const order = useOrder(batch, request);
  const { labelPaper, fault: paperFault } = useLabelPaper();
  const numbers = useNumbers(batch, order, labelPaper);
  const layout = useLayout(batch, order, numbers, labelPaper);
  const [print, printFault, busy, held] = usePrinting(batch, order, layout, labelPaper);
  const laid = held || layout.laid;
  const isStale = !held && layout.isStale;
  const isReady = laid && !isStale && !held && !busy && !layout.fault;
  const savePdf = (prepared) => saveLabelsPdf(batch.id, prepared.pick, layout.how);
  const canSavePdf = hub.value.ok && isMember(hub.value.role) && !exampleMode;
  const acts = html`
    <button type="button" class="act" disabled=${!isReady} onClick=${() => print(printPage)}>
      <${Icon} name="print" />${printWords(order, laid)}</button>
    ${
      canSavePdf &&
      html`<button type="button" class="act secondary" disabled=${!isReady} onClick=${() => print(savePdf)}>
        PDF<span class="aside"> to save</span></button>`
    }`;
  return html`<${Screen} ...${frame} fault=${frame.fault || printFault || numbers.fault} acts=${acts}>
    <div class="order what">
      <${PrintKindChoice} batch=${batch} value=${order.what} onChange=${order.changeWhat} />
      <${OrderDetails} batch=${batch} order=${order} numbers=${numbers} />
      <section><h2>Paper</h2><${PaperSettings} labelPaper=${labelPaper} fault=${paperFault} start=${order.start}
        onStart=${order.setStart} /></section>
    </div>
    ${
      order.what === 'bags' &&
      order.bags.length > 0 &&
      !order.chosenBags.length &&
      html`<p class="note">The labels of all bags are printed and still right.</p>`
    }
    <${ErrorBox} fault=${layout.fault} />
    <${FewNumbers} fresh=${layout.fresh} numbers=${numbers} laid=${laid} onCount=${order.setTypedCount} />
    ${laid && html`<${LaidPages} laid=${laid} isStale=${isStale} />`}
  </${Screen}>`;
}

/** printWords are on the main button: "Print 3 labels", "Print blanks 7–14 again". */
function printWords(order, laid) {
  const count = laid?.labels.length || 0;
  if (!count) return 'Print';
  const labels = count === 1 ? 'the label' : `${count} labels`;
  const things = { blanks: 'blanks', tags: count === 1 ? 'tag' : 'tags' }[order.what] || labels;
  const [first, last] = [laid.labels[0].tag.number, laid.labels.at(-1).tag.number];
  const numbers = order.isNumbered && numberSpan({ from: first, to: last });
  return ['Print', things, numbers, order.again && 'again'].filter(Boolean).join(' ');
}

/** OrderDetails asks which bags, how many blanks or tags, or which bottles. */
function OrderDetails({ batch, order, numbers }) {
  if (order.what === 'bags') {
    if (!order.bags.length) return html`<p class="note">No bag is curing.</p>`;
    return html`<${BagChoice} bags=${order.bags} ticked=${order.ticked} onTick=${order.setTickedBags} />`;
  }
  if (order.isNumbered) {
    return html`<${BlankChoice} tags=${order.isTags} pieces=${batch.pieces} piece=${order.piece}
      onPiece=${order.changePiece} count=${numbers.count} onCount=${order.setTypedCount}
      printings=${numbers.printings} again=${order.again} onAgain=${order.setAgain} />`;
  }
  if (order.what !== 'bottles') return null;
  return html`<${BottleChoice} colours=${batch.colours} ticked=${order.tickedColours} onTick=${order.setTickedColours}
    copies=${order.copies} onCopies=${order.setCopies} />`;
}

/** FewNumbers says that this phone has fewer numbers than are wanted, and offers to print those. */
function FewNumbers({ fresh, numbers: { own }, laid, onCount }) {
  if (!fresh || canGetNumbers() || !(own > 0 && own < fresh.count)) return null;
  return html`<div class="order">
    <p class="note">This phone has ${own} numbers of its own, and the hub, which gives more, is not reached.
      ${laid && ' The others carry this phone’s letter.'}</p>
    <button type="button" class="act secondary small wide"
      onClick=${() => onCount(String(own))}>Print ${own} now</button>
  </div>`;
}

const LaidPages = ({ laid, isStale }) => html`
  <div class=${isStale ? 'stale' : ''}>
    ${laid.paper.columns > 1 && html`<${LabelCloseUp} laid=${laid} />`}<${LabelPages} laid=${laid} />
  </div>
  <div class="order">
    <${LabelOmissions} laid=${laid} />
    <p class="note">Print at 100 %, not “fit to page”. Use a laser printer, or put the tag in a small clear bag:
      inkjet runs when it gets wet.</p>
    ${
      !hub.value.ok &&
      !exampleMode &&
      html`<p class="note">The hub is not reached: the print dialog can save a PDF too.</p>`
    }
  </div>`;
