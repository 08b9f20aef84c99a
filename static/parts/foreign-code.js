// Shows a code that is not a label of this program.
import { html } from './html.js';

/** ForeignCode shows the text of such a code. It is not a link, because it could lead anywhere. */
export const ForeignCode = ({ text }) =>
  html`<div class="note" role="status">
    <p><b>Not a bag’s label.</b> ${text ? 'This code says:' : 'This code says nothing that can be shown.'}</p>
    ${text && html`<p class="foreign-code" dir="auto">${text}</p>`}</div>`;
