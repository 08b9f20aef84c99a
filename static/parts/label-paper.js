// The paper that labels are printed on: which sheet, from which of its labels on, how
// the printer prints. It is remembered on this phone.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { paper, setPaper, style } from '../device/settings.js';
import { useData } from './data-hooks.js';
import { Choice } from './choice.js';
import { Stepper } from './stepper.js';
import { Dialog } from './dialog.js';
import { ErrorBox } from './messages.js';

const each = (stock) => (stock ? stock.columns * stock.rows : 1);

/** useLabelPaper gives the sheet that is chosen, or why there is none. */
export function useLabelPaper() {
  const { value, fault } = useData(() => call('paper.find', { sheet: paper.value.sheet }), [paper.value.sheet]);
  return { stock: value?.name === paper.value.sheet ? value : undefined, fault };
}

/**
 * PaperRow says what is printed on, and from which label of a half-used sheet on; a
 * tap changes it. start is the first free label.
 */
export function PaperSettings({ stock, fault, start, onStart }) {
  const [open, show] = useState('');
  const p = paper.value,
    next = p.next[p.sheet],
    many = each(stock) > 1,
    close = () => show('');
  const says = [p.mono ? 'black only' : 'in colour', p.cut && many && 'lines to cut', p.dpi && `${p.dpi} dots an inch`]
    .filter(Boolean)
    .join(', ');
  const row = (sheet, title, sub) =>
    html`<button type="button" class="link-row" onClick=${() => show(sheet)}><span><b class="first">${title}</b><span class="sub first">${sub}</span></span><span class="change">Change<span class="aside">: ${sheet}</span></span></button>`;
  return html`${row('paper', stock ? stock.words : 'Paper', says)}
    <${ErrorBox} fault=${fault} />
    ${many && row('first label', start > 1 ? `from label ${start} on` : 'a whole sheet', start > 1 ? `of ${each(stock)}; those before are used` : next > 1 ? `the last one is used as far as label ${next - 1}` : 'or one that is half used')}
    <${Dialog} open=${open === 'paper'} onClose=${close} title="Paper">${
      open &&
      html`<div>
      <${Which} stock=${stock} fault=${fault} onChange=${() => onStart(1)} /><${How} many=${many} />
      <button type="button" class="act wide" onClick=${close}>Done</button></div>`
    }</${Dialog}>
    <${Dialog} open=${open === 'first label'} onClose=${close} title="First free label">${
      open &&
      html`<${Start} stock=${stock} start=${start} next=${next} onStart=${(n) => {
        onStart(n);
        close();
      }} />`
    }</${Dialog}>`;
}

/** Which offers the sheets by their measure, and one's own. */
function Which({ stock, fault, onChange }) {
  const { value: stocks, fault: stocksFault } = useData(() => call('papers.list', style.value));
  const now = paper.value.sheet,
    unit = style.value.system === 'us' ? 'in' : 'mm';
  const [own, setOwn] = useState(() => stock?.typed?.[unit] || (unit === 'in' ? ['2.5', '1'] : ['62', '29']));
  const choose = (sheet) => {
    setPaper({ sheet });
    onChange();
  };
  const name = ([w, h]) => `${w}x${h}`.replaceAll(',', '.') + (unit === 'in' ? 'in' : '');
  const resize = (i, text) => {
    const to = own.map((t, k) => (k === i ? text : t));
    setOwn(to);
    choose(name(to));
  };
  const listed = stocks?.some((s) => s.name === now);
  const step = unit === 'in' ? 0.25 : 1;
  if (!stocks) return html`<${ErrorBox} fault=${stocksFault} />`;
  return html`<${Choice} one hidden label="Which sheet" value=${listed ? now : 'own'} onChange=${(v) => choose(v === 'own' ? name(own) : v)}
      options=${[...stocks.map((s) => ({ value: s.name, words: s.words, detail: [s.also, each(s) > 1 && `${each(s)} on a sheet`].filter(Boolean).join(' · ') })), { value: 'own', words: 'another size', detail: 'one label to a page' }]} />
    ${
      !listed &&
      html`<${Stepper} label="Width" value=${own[0]} unit=${unit} step=${step} min=${step} max=${420} onChange=${(w) => resize(0, w)} />
      <${Stepper} label="Height" value=${own[1]} unit=${unit} step=${step} min=${step} max=${420} onChange=${(h) => resize(1, h)} /><${ErrorBox} fault=${fault} />`
    }`;
}

/** Start is a picture of the sheet: the label to begin with is tapped. */
const Start = ({ stock, start, next, onStart }) => html`<div>
  <div class="cells" style=${{ '--columns': stock.columns }}>${Array.from({ length: each(stock) }, (_, i) => i + 1).map((n) => html`<button type="button" key=${n} class=${n < start ? 'used' : ''} aria-pressed=${n === start} aria-label=${`Start at label ${n}`} onClick=${() => onStart(n)}>${n}</button>`)}</div>
  ${next > 1 && html`<button type="button" class="act two small wide" onClick=${() => onStart(next)}>Go on where it ended: label ${next}</button>`}
</div>`;

/** How is what the printer can do. */
function How({ many }) {
  const p = paper.value;
  return html`<${Choice} label="Printer" value=${p.mono ? 'mono' : 'colour'} onChange=${(v) => setPaper({ mono: v === 'mono' })} options=${[{ value: 'colour', words: 'colour' }, { value: 'mono', words: 'black only' }]} />
    ${many && html`<div class="field"><span class="pick"><input type="checkbox" id="cut" checked=${p.cut} onChange=${() => setPaper({ cut: !p.cut })} /><label for="cut">Lines to cut along<small>for plain paper</small></label></span></div>`}
    <details><summary>More</summary><${Choice} label="Dots an inch" value=${p.dpi} onChange=${(dpi) => setPaper({ dpi })} options=${[{ value: 0, words: 'as usual', detail: 'laser 600, label printer 203' }, ...[203, 300, 600].map((n) => ({ value: n, words: String(n) }))]} /></details>`;
}
