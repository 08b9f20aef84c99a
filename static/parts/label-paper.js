// The paper that labels are printed on: the sheet, its first free label, and the printer. The
// choice is saved on this phone.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { paper, setPaper, style } from '../device/settings.js';
import { useData } from './data-hooks.js';
import { Choice } from './choice.js';
import { Stepper } from './stepper.js';
import { Dialog } from './dialog.js';
import { ErrorBox } from './messages.js';

/** labelsPerSheet says how many labels a sheet has; a roll has one. */
export const labelsPerSheet = (labelPaper) => (labelPaper ? labelPaper.columns * labelPaper.rows : 1);

/** useLabelPaper returns the chosen sheet, or the fault if there is none. */
export function useLabelPaper() {
  const { value, fault } = useData(() => call('paper.find', { sheet: paper.value.sheet }), [paper.value.sheet]);
  return { labelPaper: value?.name === paper.value.sheet ? value : undefined, fault };
}

/**
 * PaperSettings shows the paper and the first free label of a half-used sheet, start; a tap changes
 * them.
 */
export function PaperSettings({ labelPaper, fault, start, onStart }) {
  const [open, setOpen] = useState('');
  const close = () => setOpen('');
  const next = paper.value.next[paper.value.sheet];
  const isSheet = labelsPerSheet(labelPaper) > 1;
  const pick = (label) => {
    onStart(label);
    close();
  };
  return html`<${SettingRow} name="paper" title=${labelPaper ? labelPaper.words : 'Paper'} sub=${printerText(isSheet)}
      onClick=${setOpen} />
    <${ErrorBox} fault=${fault} />
    ${
      isSheet &&
      html`<${SettingRow} name="first label" title=${start > 1 ? `from label ${start} on` : 'a whole sheet'}
        sub=${usedText(labelPaper, start, next)} onClick=${setOpen} />`
    }
    <${Dialog} open=${open === 'paper'} onClose=${close} title="Paper">${
      open &&
      html`<div>
        <${PaperChoice} labelPaper=${labelPaper} fault=${fault} onChange=${() => onStart(1)} />
        <${PrinterSettings} isSheet=${isSheet} />
        <button type="button" class="button wide" onClick=${close}>Done</button></div>`
    }</${Dialog}>
    <${Dialog} open=${open === 'first label'} onClose=${close} title="First free label">
      ${
        open && html`<${FirstLabelChoice} labelPaper=${labelPaper} start=${start} next=${next} onStart=${pick} />`
      }</${Dialog}>`;
}

/** SettingRow is a setting and its value; a tap gives its name to onClick. */
const SettingRow = ({ name, title, sub, onClick }) => html`<button type="button" class="link-row"
  onClick=${() => onClick(name)}>
  <span><b class="capitalized">${title}</b><span class="sub capitalized">${sub}</span></span>
  <span class="change-link">Change<span class="visually-hidden">: ${name}</span></span></button>`;

/** printerText says how the printer prints: "black only, lines to cut". */
function printerText(isSheet) {
  const { mono, cut, dpi } = paper.value;
  const words = [mono ? 'black only' : 'in colour', cut && isSheet && 'lines to cut', dpi && `${dpi} dots per inch`];
  return words.filter(Boolean).join(', ');
}

/** usedText says how much of the sheet is used, from its first free label or from where the last printing ended. */
function usedText(labelPaper, start, next) {
  if (start > 1) return `of ${labelsPerSheet(labelPaper)}; those before are used`;
  return next > 1 ? `the last sheet is used up to label ${next - 1}` : 'or one that is half used';
}

/** paperOptions are the listed papers, and a custom size. */
function paperOptions(papers) {
  const countText = (s) => labelsPerSheet(s) > 1 && `${labelsPerSheet(s)} on a sheet`;
  const detail = (s) => [s.also, countText(s)].filter(Boolean).join(' · ');
  return [
    ...papers.map((s) => ({ value: s.name, words: s.words, detail: detail(s) })),
    { value: 'custom', words: 'another size', detail: 'one label per page' },
  ];
}

/** PaperChoice offers the papers by size, and a custom one. */
function PaperChoice({ labelPaper, fault, onChange }) {
  const { value: papers, fault: papersFault } = useData(() => call('papers.list', style.value));
  const currentSheet = paper.value.sheet;
  const unit = style.value.system === 'us' ? 'in' : 'mm';
  const [customSize, setCustomSize] = useState(
    () => labelPaper?.typed?.[unit] || (unit === 'in' ? ['2.5', '1'] : ['62', '29']),
  );
  const chooseSheet = (sheet) => {
    setPaper({ sheet });
    onChange();
  };
  const sizeName = ([w, h]) => `${w}x${h}`.replaceAll(',', '.') + (unit === 'in' ? 'in' : '');
  const resize = (i, text) => {
    const newSize = customSize.map((t, k) => (k === i ? text : t));
    setCustomSize(newSize);
    chooseSheet(sizeName(newSize));
  };
  const isListed = papers?.some((s) => s.name === currentSheet);
  const step = unit === 'in' ? 0.25 : 1;
  if (!papers) return html`<${ErrorBox} fault=${papersFault} />`;
  const sizeStepper = (
    label,
    i,
  ) => html`<${Stepper} label=${label} value=${customSize[i]} unit=${unit} step=${step} min=${step}
    max=${420} onChange=${(text) => resize(i, text)} />`;
  return html`<${Choice} oneColumn hideLabel label="Which sheet" value=${isListed ? currentSheet : 'custom'}
    options=${paperOptions(papers)}
      onChange=${(v) => chooseSheet(v === 'custom' ? sizeName(customSize) : v)} />
    ${!isListed && html`${sizeStepper('Width', 0)}${sizeStepper('Height', 1)}<${ErrorBox} fault=${fault} />`}`;
}

/** FirstLabelChoice is a picture of the sheet: tap the label to start at. */
const FirstLabelChoice = ({ labelPaper, start, next, onStart }) => html`<div>
  <div class="label-grid" style=${{ '--columns': labelPaper.columns }}>${Array.from(
    { length: labelsPerSheet(labelPaper) },
    (_, i) => i + 1,
  ).map(
    (n) => html`<button type="button" key=${n} class=${n < start ? 'used' : ''} aria-pressed=${n === start}
      aria-label=${`Start at label ${n}`} onClick=${() => onStart(n)}>${n}</button>`,
  )}</div>
  ${
    next > 1 &&
    html`<button type="button" class="button secondary small wide" onClick=${() => onStart(next)}>
      Continue with label ${next}</button>`
  }
</div>`;

const inkOptions = [
  { value: 'colour', words: 'colour' },
  { value: 'mono', words: 'black only' },
];
const resolutionOptions = [
  { value: 0, words: 'default', detail: 'laser 600, label printer 203' },
  ...[203, 300, 600].map((n) => ({ value: n, words: String(n) })),
];

/** PrinterSettings asks what the printer can do. */
function PrinterSettings({ isSheet }) {
  const { mono, cut, dpi } = paper.value;
  return html`<${Choice} label="Printer" value=${mono ? 'mono' : 'colour'} options=${inkOptions}
      onChange=${(v) => setPaper({ mono: v === 'mono' })} />
    ${
      isSheet &&
      html`<div class="field"><span class="option">
        <input type="checkbox" id="cut" checked=${cut} onChange=${() => setPaper({ cut: !cut })} />
        <label for="cut">Lines to cut along<small>for plain paper</small></label></span></div>`
    }
    <details><summary>More</summary>
      <${Choice} label="Dots per inch" value=${dpi} options=${resolutionOptions}
        onChange=${(v) => setPaper({ dpi: v })} />
    </details>`;
}
