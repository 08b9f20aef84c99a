// What is wrong with a piece: any of the faults, each a chip that is pressed.
import { html } from './html.js';

/** FaultChips offers the faults {fault, words}; chosen lists the pressed ones. */
export function FaultChips({ label, choices, chosen, onChange }) {
  const toggle = (fault) => onChange(chosen.includes(fault) ? chosen.filter((f) => f !== fault) : [...chosen, fault]);
  return html`<div class="field"><span class="label">${label}</span>
    <div class="chips" role="group" aria-label=${label}>${choices.map(
      ({ fault, words }) => html`<button type="button" class="chip" key=${fault}
        aria-pressed=${chosen.includes(fault)} onClick=${() => toggle(fault)}>${words}</button>`,
    )}</div>
  </div>`;
}
