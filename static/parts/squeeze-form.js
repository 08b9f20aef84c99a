// Measures the squeeze bottle: twenty squeezes into a jug, and what is in it then.
import { html } from './html.js';
import { isSqueeze, setSqueeze, squeeze } from '../device/squeeze.js';
import { showToast } from '../device/toast.js';
import { useUnsaved } from './data-hooks.js';
import { Keys, decimalSign } from './number-pad.js';
import { squeezeText } from './squeeze-row.js';

const squeezes = 20; // into the jug: the error of reading it is shared among them

/** useSqueeze holds what the jug shows, and returns what saves it. */
export function useSqueeze() {
  const [typed, setTyped] = useUnsaved('squeeze', '');
  const each = Number(typed.replace(',', '.')) / squeezes; // mL
  const isOdd = typed.trim() !== '' && !isSqueeze(each);
  const save = () => {
    const before = squeeze.value;
    setSqueeze(each);
    setTyped(undefined);
    showToast(`One squeeze gives ${squeezeText(each)}`, 'Undo', () => setSqueeze(before));
  };
  return { typed, setTyped, each, isOdd, canSave: isSqueeze(each), save };
}

/** SqueezeForm is the reading with its keys; form is what useSqueeze gave. */
export const SqueezeForm = ({ form }) => html`<div>
  <p>Fill the bottle with water, squeeze it ${squeezes} times into a measuring jug as you do when dyeing, and enter
    what is in the jug.</p>
  <label class="reading"><span>In the jug</span>
    <input inputmode="none" autocomplete="off" aria-label="In the jug" value=${form.typed} placeholder="0"
      onInput=${(e) => form.setTyped(e.target.value)} /><span class="unit">mL</span></label>
  <div class="verdict-line" aria-live="polite">${
    form.isOdd
      ? html`<p class="caution">${squeezes} squeezes of a bottle give 1 to 1000 mL: look at what you typed.</p>`
      : html`<p class="sub">${
          form.canSave
            ? `That is ${squeezeText(form.each)} a squeeze.`
            : squeeze.value
              ? `Until now ${squeezeText(squeeze.value)} a squeeze.`
              : 'Not measured yet.'
        }</p>`
  }</div>
  <${Keys} label="Millilitres in the jug" value=${form.typed} onInput=${form.setTyped} sign=${decimalSign()} />
</div>`;
