// Labels: what to print, on which paper, and the pages as they will be printed.
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
import { BagChoice, BlankChoice, BottleChoice, PrintKindChoice, numberRangeText } from '../parts/print-choice.js';
import { canGetNumbers, useLayout, useNumbers, useOrder, usePrinting } from '../parts/print-order.js';
import { receivePrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';

export function PrintLabels({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [request] = useState(receivePrintOrder); // what the previous screen asked for
  const back =
    request.bag && !request.back
      ? { href: `/bag/${id}/${request.bag}`, words: 'Bag' }
      : { href: request.back || `/batch/${id}`, words: request.words || batch?.name || 'Batch' };
  const screenProps = { activeTab: 'batches', back, title: 'Print', name: 'Labels', fault };
  if (!batch) return html`<${Screen} ...${screenProps} />`;
  return html`<${PrintOrder} screenProps=${screenProps} batch=${batch} request=${request} />`;
}

function PrintOrder({ screenProps, batch, request }) {
  const order = useOrder(batch, request);
  const { labelPaper, fault: paperFault } = useLabelPaper();
  const numbers = useNumbers(batch, order, labelPaper);
  const layout = useLayout(batch, order, numbers, labelPaper);
  const [print, printFault, busy, printedLayout] = usePrinting(batch, order, layout, labelPaper);
  const labelLayout = printedLayout || layout.labelLayout;
  const isStale = !printedLayout && layout.isStale;
  const isReady = labelLayout && !isStale && !printedLayout && !busy && !layout.fault;
  const savePdf = (prepared) => saveLabelsPdf(batch.id, prepared.selection, layout.paperOptions);
  const canSavePdf = hub.value.isReached && isMember(hub.value.role) && !exampleMode;
  const actions = html`
    <button type="button" class="button" disabled=${!isReady} onClick=${() => print(printPage)}>
      <${Icon} name="print" />${printWords(order, labelLayout)}</button>
    ${
      canSavePdf &&
      html`<button type="button" class="button secondary" disabled=${!isReady} onClick=${() => print(savePdf)}>
        PDF<span class="visually-hidden"> to save</span></button>`
    }`;
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || printFault || numbers.fault} actions=${actions}>
    <div class="screen-only print-order">
      <${PrintKindChoice} batch=${batch} value=${order.labelKind} onChange=${order.changeLabelKind} />
      <${OrderDetails} batch=${batch} order=${order} numbers=${numbers} />
      <section><h2>Paper</h2><${PaperSettings} labelPaper=${labelPaper} fault=${paperFault} start=${order.start}
        onStart=${order.setStart} /></section>
    </div>
    ${
      order.labelKind === 'bags' &&
      order.bags.length > 0 &&
      !order.chosenBags.length &&
      html`<p class="note">The labels of all bags are printed and up to date.</p>`
    }
    <${ErrorBox} fault=${layout.fault} />
    <${FewNumbers} printing=${layout.printing} numbers=${numbers} labelLayout=${labelLayout}
      onCount=${order.setTypedCount} />
    ${labelLayout && html`<${LayoutPreview} labelLayout=${labelLayout} isStale=${isStale} />`}
  </${Screen}>`;
}

/** printWords returns the text of the main button: "Print 3 labels", "Print blanks 7–14 again". */
function printWords(order, labelLayout) {
  const count = labelLayout?.labels.length || 0;
  if (!count) return 'Print';
  const labels = count === 1 ? 'the label' : `${count} labels`;
  const things = { blanks: 'blanks', tags: count === 1 ? 'tag' : 'tags' }[order.labelKind] || labels;
  const [first, last] = [labelLayout.labels[0].tag.number, labelLayout.labels.at(-1).tag.number];
  const numbers = order.isNumbered && numberRangeText({ from: first, to: last });
  return ['Print', things, numbers, order.reprintId && 'again'].filter(Boolean).join(' ');
}

/** OrderDetails asks which bags, how many blanks or tags, or which bottles. */
function OrderDetails({ batch, order, numbers }) {
  if (order.labelKind === 'bags') {
    if (!order.bags.length) return html`<p class="note">No bag is curing.</p>`;
    return html`<${BagChoice} bags=${order.bags} ticked=${order.ticked} onTick=${order.setTickedBags} />`;
  }
  if (order.isNumbered) {
    return html`<${BlankChoice} tags=${order.isTags} pieces=${batch.pieces} piece=${order.piece}
      onPiece=${order.changePiece} count=${numbers.count} onCount=${order.setTypedCount}
      printings=${numbers.printings} reprintId=${order.reprintId} onReprint=${order.setReprintId} />`;
  }
  if (order.labelKind !== 'bottles') return null;
  return html`<${BottleChoice} colours=${batch.colours} ticked=${order.tickedColours} onTick=${order.setTickedColours}
    copies=${order.copies} onCopies=${order.setCopies} />`;
}

/** FewNumbers says that this phone has too few numbers, and offers to print only those. */
function FewNumbers({ printing, numbers: { ownCount }, labelLayout, onCount }) {
  if (!printing || canGetNumbers() || !(ownCount > 0 && ownCount < printing.count)) return null;
  return html`<div class="screen-only">
    <p class="note">This phone has ${ownCount} numbers left. The hub could give more, but it cannot be reached.
      ${labelLayout && ' The others carry this phone’s letter.'}</p>
    <button type="button" class="button secondary small wide"
      onClick=${() => onCount(String(ownCount))}>Print ${ownCount} now</button>
  </div>`;
}

const LayoutPreview = ({ labelLayout, isStale }) => html`
  <div class=${isStale ? 'stale' : ''}>
    ${labelLayout.paper.columns > 1 && html`<${LabelCloseUp} labelLayout=${labelLayout} />`}<${LabelPages}
      labelLayout=${labelLayout} />
  </div>
  <div class="screen-only">
    <${LabelOmissions} labelLayout=${labelLayout} />
    <p class="note">Print at 100 %, not “fit to page”. Use a laser printer, or put the tag in a small clear bag:
      inkjet runs when it gets wet.</p>
    ${
      !hub.value.isReached &&
      !exampleMode &&
      html`<p class="note">The hub cannot be reached: the print dialog can save a PDF too.</p>`
    }
  </div>`;
