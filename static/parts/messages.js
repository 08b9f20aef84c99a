// Error messages, cautions, notes and sources.
import { html, capitalize } from './html.js';
import { SaveJournalButton } from './save-journal-button.js';

/** ErrorBox shows a fault: its sentence and hint. If the storage is full, it offers to save the journal as a file. */
export const ErrorBox = ({ fault }) =>
  fault &&
  html`<div class="fault" role="alert">
  <p><b>${capitalize(fault.sentence || 'something went wrong on this phone')}.</b></p>
  ${fault.hint && html`<p>${capitalize(fault.hint)}.</p>`}
  ${
    fault.goOn &&
    html`<div class="row spaced"><button type="button" class="button secondary small" onClick=${fault.goOn}>
      Yes, go on</button><button type="button" class="button small" onClick=${fault.leave}>No, go back</button></div>`
  }
  ${fault.code === 'full' && html`<div class="row"><${SaveJournalButton} /></div>`}
</div>`;

/** Cautions are one sentence each, shown at the step where they matter; a tap shows who gives the warning. */
export const Cautions = ({ list }) =>
  (list || []).map(
    (c) => html`<div class="caution" key=${c.code}>
  <p>${capitalize(c.text)}${/[.!]$/.test(c.text) ? '' : '.'}</p>
  <details><summary>Why</summary>
    <p class="sub">${capitalize(c.source)}. The dye’s own safety data sheet and local rules come first.</p></details>
</div>`,
  );

/** Notes are sentences from the core. */
export const Notes = ({ list }) =>
  (list || []).map((n) => html`<p class="note">${capitalize(n)}${/[.!?]$/.test(n) ? '' : '.'}</p>`);

const evidenceLabels = {
  published: 'Published',
  practice: 'Common practice',
  memory: 'From memory, not checked',
  judgement: 'Judgement',
};

/** SourceLine is where one statement comes from, with its kind of evidence. */
export const SourceLine = ({ source: { kind, text } }) => {
  const label = evidenceLabels[kind] || kind;
  const saysLabel = text.toLowerCase().startsWith(label.toLowerCase());
  if (saysLabel) return html`<p class="sub source">${capitalize(text)}</p>`;
  return html`<p class="sub source"><b>${label}</b> · ${text}</p>`;
};

/** Sources say where the numbers come from, each with its kind of evidence. */
export const Sources = ({ list }) =>
  list?.length > 0 &&
  html`<details><summary>Where the numbers come from</summary>
  <ul class="sources">${list.map(
    (s) => html`<li><b>${evidenceLabels[s.kind] || s.kind}</b> <span class="sub">${capitalize(s.text)}</span></li>`,
  )}</ul>
</details>`;
