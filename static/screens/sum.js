// One calculator: its form is made from the core's entry, and its answer is updated while the person types.
import { html, capitalize, classes } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { callExtra } from '../core/extra.js';
import { asFault } from '../core/fault.js';
import { style } from '../device/settings.js';
import { runCalculator } from '../journal/views.js';
import { Choice } from '../parts/choice.js';
import { useData } from '../parts/data-hooks.js';
import { Field } from '../parts/field.js';
import { Cautions, ErrorBox, Notes, Sources } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { SumReference } from '../parts/sum-reference.js';
/** @import { Fault } from '../core/fault.js' */

export function Sum({ name }) {
  const { value: list, fault } = useData(() => callExtra('calc.list', {}));
  const entry = list?.find((e) => e.name === name);
  return html`<${Screen} activeTab="sums" back=${{ href: '/sums', words: 'Sums' }} fault=${fault} sub=${entry?.purpose}
    title=${entry?.title || (list ? 'No such sum' : 'Sum')}>
    ${entry && html`<${SumForm} entry=${entry} />`}
    ${list && !entry && html`<p>The address may be mistyped. <a href="/sums">All sums</a></p>`}
  </${Screen}>`;
}

/** useAnswer runs the calculator on the typed inputs; if they are wrong, the last answer stays beside the fault. */
function useAnswer(entry, typed, isIncomplete) {
  const [answer, setAnswer] = useState(/** @type {{value?: any, fault?: Fault}} */ ({}));
  useEffect(() => {
    if (isIncomplete) {
      setAnswer({});
      return;
    }
    let isCurrent = true;
    const inputs = Object.fromEntries(Object.entries(typed).filter(([, text]) => text.trim()));
    runCalculator(entry.name, inputs).then(
      (value) => isCurrent && setAnswer({ value }),
      (err) => isCurrent && setAnswer((before) => ({ value: before.value, fault: asFault(err) })),
    );
    return () => {
      isCurrent = false;
    };
  }, [typed, style.value]);
  return answer;
}

function SumForm({ entry }) {
  const [typed, setTyped] = useState({});
  const isEmpty = !Object.values(typed).some((text) => text.trim());
  const isIncomplete = isEmpty || entry.inputs.some((i) => i.required && !typed[i.key]?.trim());
  const answer = useAnswer(entry, typed, isIncomplete);
  const { value, fault } = answer;
  const mainInputs = entry.inputs.filter((i) => i.required || i.ask);
  const moreInputs = entry.inputs.filter((i) => !mainInputs.includes(i));
  const renderField = (input) => html`<${Input} key=${input.key} input=${input} value=${typed[input.key] || ''}
    fault=${fault?.input === input.key && fault} read=${value?.inputs[input.key]}
    onInput=${(text) => setTyped((before) => ({ ...before, [input.key]: text }))} />`;
  const isAtField = mainInputs.some((i) => i.key === fault?.input && i.type !== 'word');
  return html`
    <${AnswerLine} entry=${entry} value=${value} isStale=${Boolean(fault)} />
    ${mainInputs.map(renderField)}
    ${
      moreInputs.length > 0 &&
      (mainInputs.length
        ? html`<details><summary>More options (${moreInputs.length})</summary>${moreInputs.map(renderField)}</details>`
        : moreInputs.map(renderField))
    }
    <section class="answer" aria-label="Answer">
      ${!isAtField && html`<${ErrorBox} fault=${fault} />`}
      ${value && html`<${Answer} entry=${entry} value=${value} isStale=${Boolean(fault)} />`}
    </section>
    <${SumReference} entry=${entry} />`;
}

const labelOf = (input, value) => input.words?.find((w) => w.value === value)?.label || value;

/** Input shows one field of the form, depending on its type. */
function Input({ input, value, onInput, fault, read }) {
  const reads = !fault && read && !read.default && read.text !== value ? `Read as ${read.text}` : '';
  const help = [input.help, input.default && `if left out: ${labelOf(input, input.default)}`]
    .filter(Boolean)
    .join('; ');
  if (input.type === 'word') {
    const options = (input.words || []).map((w) => ({ value: w.value, words: w.label }));
    return html`<${Choice} label=${input.label} value=${value || input.default || ''} onChange=${onInput}
      options=${options} />`;
  }
  const type = input.type === 'time' ? 'datetime-local' : 'text';
  return html`<${Field} label=${input.label} help=${help} type=${type} value=${value} onInput=${onInput} fault=${fault}
    readText=${reads} presets=${input.presets} placeholder=${input.example} />`;
}

const longText = 44; // letters; a longer output gets its own lines

/** outputsOf lists the outputs that have a value; an output for each colour or jug has a row for each. */
function outputsOf(entry, value) {
  return entry.outputs.flatMap((output) => {
    if (output.each) return (value.each || []).map((key) => ({ key, label: key }));
    return value.outputs[output.key] ? [output] : [];
  });
}

/** useVisibleTop returns how far, in px, the phone's keyboard has pushed the page up, out of view. */
function useVisibleTop() {
  const [top, setTop] = useState(0);
  useEffect(() => {
    const visible = globalThis.visualViewport;
    if (!visible) return;
    const look = () => setTop(visible.offsetTop);
    visible.addEventListener('scroll', look);
    visible.addEventListener('resize', look);
    return () => {
      visible.removeEventListener('scroll', look);
      visible.removeEventListener('resize', look);
    };
  }, []);
  return top;
}

/** AnswerLine is the first output, large, above the fields: it stays in view while one types. */
function AnswerLine({ entry, value, isStale }) {
  const head = value && outputsOf(entry, value)[0];
  const top = useVisibleTop();
  return html`<div class=${classes('answer-line', isStale && 'stale')} style=${{ '--visible-top': `${top}px` }}
    aria-live="polite">${
      head
        ? html`<${FirstOutput} label=${head.label} output=${value.outputs[head.key]} />`
        : html`<p class="sub">The answer appears as you fill in the form.</p>`
    }</div>`;
}

/** Answer lists the outputs after the first, then notes, cautions and sources. */
function Answer({ entry, value, isStale }) {
  const textOf = (output) => value.outputs[output.key].text;
  const [head, ...rest] = outputsOf(entry, value);
  const longOutputs = rest.filter((output) => textOf(output).length > longText);
  return html`<div class=${isStale ? 'stale' : ''}>
    ${
      head &&
      html`<dl class="figures">${rest
        .filter((output) => !longOutputs.includes(output))
        .map((output) => html`<dt>${output.label}</dt><dd>${capitalize(textOf(output))}</dd>`)}</dl>`
    }
    ${longOutputs.map(
      (output) => html`<div class="note"><p class="sub">${output.label}</p><p>${capitalize(textOf(output))}.</p></div>`,
    )}
    <${Notes} list=${value.notes} /><${Cautions} list=${value.cautions} /><${Sources} list=${value.sources} />
  </div>`;
}

/** FirstOutput writes an output large, with its aside in brackets in small type. */
function FirstOutput({ label, output: { text, main = text, aside } }) {
  return html`<p class="sub">${label}</p>
    <p class=${main.length > 14 ? 'lead' : 'big-text'}>
      ${capitalize(main)}${aside && html`<small>(${aside})</small>`}</p>`;
}
