// What is said when something is wrong, when it can hurt, and what else is worth knowing.
import { html, capitalize } from './html.js';
import { SaveJournalButton } from './save-journal-button.js';

/** ErrorBox says a fault: its sentence, and what to do; where the room is used up, what is here can be saved. */
export const ErrorBox = ({ fault }) =>
  fault &&
  html`<div class="fault" role="alert">
  <p><b>${capitalize(fault.sentence || 'something went wrong on this phone')}.</b></p>
  ${fault.hint && html`<p>${capitalize(fault.hint)}.</p>`}
  ${fault.code === 'full' && html`<div class="row"><${SaveJournalButton} /></div>`}
</div>`;

/** Cautions are one sentence each, where the hand is; who says so is one tap away. */
export const Cautions = ({ list }) =>
  (list || []).map(
    (c) => html`<div class="caution" key=${c.code}>
  <p>${capitalize(c.text)}${/[.!]$/.test(c.text) ? '' : '.'}</p>
  <details><summary>Why</summary>
    <p class="sub">${capitalize(c.source)}. The dye’s own safety data sheet and local rules come first.</p></details>
</div>`,
  );

/** Notes are sentences of the core. */
export const Notes = ({ list }) =>
  (list || []).map((n) => html`<p class="note">${capitalize(n)}${/[.!?]$/.test(n) ? '' : '.'}</p>`);

const marks = {
  published: 'Published',
  practice: 'Common practice',
  memory: 'From memory, not checked',
  judgement: 'Judgement',
};

/** Sources are where the numbers come from, each with its mark. */
export const Sources = ({ list }) =>
  list?.length > 0 &&
  html`<details><summary>Where the numbers come from</summary>
  <ul class="sources">${list.map(
    (s) => html`<li><b>${marks[s.kind] || s.kind}</b> <span class="sub">${capitalize(s.text)}</span></li>`,
  )}</ul>
</details>`;
