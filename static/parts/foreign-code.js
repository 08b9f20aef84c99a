// A code that is no label of this program: what it says, and nothing more.
import { html } from './html.js';

/** ForeignCode shows the text of such a code. It is no link: nobody knows where it leads. */
export const ForeignCode = ({ text }) =>
  html`<div class="note" role="status">
    <p><b>Not a bag’s label.</b> ${text ? 'This code says:' : 'This code says nothing that can be shown.'}</p>
    ${text && html`<p class="foreign" dir="auto">${text}</p>`}</div>`;
