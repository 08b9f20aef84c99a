// A bag's label on the screen: the code to scan, the id to type, and a link to print it.
import { html } from './html.js';
import { QRCode } from './qr-code.js';
import { passPrintOrder } from './screen-handoff.js';

export const LabelDetails = ({ bag }) => html`<div class="label-details">
  ${
    bag.address
      ? html`<${QRCode} text=${bag.address} label=${`Code of bag ${bag.number}`} />`
      : html`<p>No label can be made: this phone does not have the secret of the batch yet.</p>`
  }
  ${bag.typed && html`<p class="to-type"><span class="sub">To type by hand</span><b>${bag.typed}</b></p>`}
  ${bag.asPrinted && html`<p class="note">${bag.asPrinted}</p>`}
  <a class="button wide" href=${`/batch/${bag.batch}/labels`}
    onClick=${() => passPrintOrder({ what: 'bags', bag: bag.id })}>Print the label</a>
</div>`;
