// A batch on paper, as planned and as done: the pages as they will be printed, and the PDF.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { exampleMode } from '../device/example-mode.js';
import { style } from '../device/settings.js';
import { TableCard } from '../fold/table-card.js';
import { batchSheet, batchView } from '../journal/views.js';
import { saveBatchSheetPdf } from '../labels/labels.js';
import { printPage } from '../labels/print.js';
import { hub } from '../sync/hub-state.js';
import { isMember } from '../sync/sync-round.js';
import { Choice } from '../parts/choice.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Icon } from '../parts/icons.js';
import { LabelPages } from '../parts/label-pages.js';
import { Screen } from '../parts/screen.js';

const papers = [
  { value: 'a4', words: 'A4' },
  { value: 'letter', words: 'US letter' },
];

export function BatchSheet({ id }) {
  const [paper, setPaper] = useState(style.value.system === 'us' ? 'letter' : 'a4');
  const { value: sheet, fault } = useLiveData(() => batchSheet(id, paper), [id, paper]);
  const { value: designs } = useLiveData(async () => (await batchView(id)).pieces.flatMap((p) => p.design || []), [id]);
  const [run, printFault, busy] = useAction();
  const canSavePdf = hub.value.isReached && isMember(hub.value.role) && !exampleMode;
  const savePdf = () => run(() => saveBatchSheetPdf(id, paper));
  const actions = html`<button type="button" class="button" disabled=${busy || !sheet} onClick=${() => run(printPage)}>
      <${Icon} name="print" />Print</button>
    ${
      canSavePdf &&
      html`<button type="button" class="button secondary" disabled=${busy || !sheet}
        onClick=${savePdf}>PDF<span class="visually-hidden"> to save</span></button>`
    }`;
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: 'Batch' }} title="Batch sheet"
    fault=${fault || printFault} actions=${actions}>
    <div class="screen-only"><${Choice} label="Paper" value=${paper} onChange=${setPaper} options=${papers} /></div>
    ${sheet && html`<${LabelPages} labelLayout=${sheet} />`}
    ${designs?.map((d) => html`<div class="design-page" key=${d.code}><${TableCard} design=${d} /></div>`)}
  </${Screen}>`;
}
