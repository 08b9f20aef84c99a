// Dye powder is open: every phone says so until it is closed, so that nobody walks in without a mask.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { record } from '../journal/journal.js';
import { openPowder } from '../journal/views.js';
import { isAt } from '../device/router.js';
import { useAction, useLiveData } from './data-hooks.js';
import { ErrorBox } from './messages.js';

const keepOut = 'Others out, animals out, door shut, fan off, mask on.';

/** usePowder returns [toggle, busy, fault]: toggle records that the powder is opened, or closed and wiped up. */
export function usePowder(batch, isOpen) {
  const [run, fault, busy] = useAction();
  const kind = isOpen ? Kind.powderClosed : Kind.powderOpened;
  const undo = isOpen ? 'Powder closed' : 'Powder open: shown on every phone';
  const toggle = () => run(() => record([{ scope: `batch/${batch}`, subject: batch, kind, body: {} }], { undo }));
  return /** @type {const} */ ([toggle, busy, fault]);
}

/** PowderBanner is at the top of every screen while powder is open in a batch. */
export function PowderBanner() {
  const { value: open } = useLiveData(openPowder);
  return (open || [])
    .filter((o) => !isAt(`/batch/${o.batch}/jugs`))
    .map((o) => html`<${OpenPowder} key=${o.batch} powder=${o} />`);
}

function OpenPowder({ powder }) {
  const [toggle, busy, fault] = usePowder(powder.batch, true);
  return html`<div class="banner alert" role="status">
    <p><b>Dye powder is open</b>, ${powder.text}. ${keepOut}</p>
    <button type="button" disabled=${busy} onClick=${toggle}>Mark closed</button><${ErrorBox} fault=${fault} /></div>`;
}

/** PowderButton opens or closes the powder on the weighing screen. */
export function PowderButton({ batch }) {
  const [toggle, busy] = usePowder(batch.id, Boolean(batch.powder));
  return html`<button type="button" class="button secondary small"
    aria-pressed=${Boolean(batch.powder)} disabled=${busy}
    onClick=${toggle}>${batch.powder ? 'Close powder' : 'Open powder'}</button>`;
}

/** PowderNote says on the weighing screen what holds while the powder is open. */
export const PowderNote = ({ batch }) =>
  batch.powder && html`<p class="caution powder" role="status">Powder open. ${keepOut}</p>`;
