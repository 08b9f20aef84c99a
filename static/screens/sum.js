// One calculator: its form is made from the core's entry, its answer follows the typing.
import { html, capitalize } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { runCalculator } from '../journal/views.js';
import { style } from '../device/settings.js';
import { asFault } from '../core/fault.js';
import { useData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Field } from '../parts/field.js';
import { Choice } from '../parts/choice.js';
import { SumReference } from '../parts/sum-reference.js';
import { ErrorBox, Notes, Cautions, Sources } from '../parts/messages.js';

export function Sum({ name }) {
  const { value: list, fault } = useData(() => call('calc.list'));
  const entry = list?.find((e) => e.name === name);
  return html`<${Screen} here="sums" back=${{ href: '/sums', words: 'Sums' }} title=${entry?.title || (list ? 'No such sum' : 'Sum')} sub=${entry?.purpose} fault=${fault}>
    ${entry && html`<${Form} entry=${entry} />`}
  </${Screen}>`;
}

function Form({ entry }) {
  const [typed, set] = useState({});
  const [got, setGot] = useState(/** @type {any} */ ({}));
  const lacks =
    !Object.values(typed).some((v) => v.trim()) || entry.inputs.some((i) => i.required && !typed[i.key]?.trim());
  useEffect(() => {
    if (lacks) {
      setGot({});
      return;
    }
    let here = true;
    const inputs = Object.fromEntries(Object.entries(typed).filter(([, v]) => v.trim()));
    runCalculator(entry.name, inputs).then(
      (value) => here && setGot({ value }),
      (err) => here && setGot((old) => ({ value: old.value, fault: asFault(err) })),
    );
    return () => {
      here = false;
    };
  }, [typed, style.value]);
  const { value, fault } = got;
  const asked = entry.inputs.filter((i) => i.required || i.ask),
    more = entry.inputs.filter((i) => !asked.includes(i));
  const one = (i) =>
    html`<${Input} key=${i.key} input=${i} value=${typed[i.key] || ''} wrong=${fault?.input === i.key && fault} read=${value?.inputs[i.key]} onInput=${(v) => set((had) => ({ ...had, [i.key]: v }))} />`;
  return html`
    ${asked.map(one)}
    ${more.length > 0 && (asked.length ? html`<details><summary>More to say (${more.length})</summary>${more.map(one)}</details>` : more.map(one))}
    <section class="answer" aria-live="polite" aria-label="Answer">
      ${fault && !asked.some((i) => i.key === fault.input && i.type !== 'word') && html`<${ErrorBox} fault=${fault} />`}
      ${lacks && html`<p class="sub">The answer comes as you fill it in.</p>`}
      ${value && html`<div class=${fault ? 'stale' : ''}><${Outputs} entry=${entry} value=${value} /><${Notes} list=${value.notes} /><${Cautions} list=${value.cautions} /><${Sources} list=${value.sources} /></div>`}
    </section>
    <${SumReference} entry=${entry} />`;
}

/** Input is one thing that the sum is told, as its type asks. */
function Input({ input: i, value, onInput, wrong, read }) {
  const reads = !wrong && read && !read.default && read.text !== value ? `Read as ${read.text}` : '';
  const help = [i.help, i.default && `if left out: ${words(i, i.default)}`].filter(Boolean).join('; ');
  if (i.type === 'word')
    return html`<${Choice} label=${i.label} value=${value || i.default || ''} onChange=${onInput} options=${(i.words || []).map((w) => ({ value: w.value, words: w.label }))} />`;
  if (i.type === 'time')
    return html`<${Field} label=${i.label} help=${help} type="datetime-local" value=${value} onInput=${onInput} wrong=${wrong} reads=${reads} />`;
  return html`<${Field} label=${i.label} help=${help} value=${value} onInput=${onInput} wrong=${wrong} reads=${reads} presets=${i.presets} placeholder=${i.example} />`;
}

const long = 44; // letters from which an answer has lines of its own
const words = (input, value) => input.words?.find((w) => w.value === value)?.label || value;

/** Outputs shows the first figure large and the rest as a list. */
function Outputs({ entry, value }) {
  const there = entry.outputs.flatMap((o) =>
    o.each ? (value.each || []).map((key) => ({ key, label: key })) : value.outputs[o.key] ? [o] : [],
  );
  if (there.length === 0) return null;
  const [head, ...rest] = there;
  const say = rest.filter((o) => value.outputs[o.key].text.length > long);
  const { text, main = text, aside } = value.outputs[head.key];
  return html`<p class="sub">${head.label}</p>
    <p class=${main.length > 14 ? 'lead' : 'big'}>${capitalize(main)}${aside && html`<small>(${aside})</small>`}</p>
    <dl class="facts">${rest.filter((o) => !say.includes(o)).map((o) => html`<dt>${o.label}</dt><dd>${capitalize(value.outputs[o.key].text)}</dd>`)}</dl>
    ${say.map((o) => html`<div class="note"><p class="sub">${o.label}</p><p>${capitalize(value.outputs[o.key].text)}.</p></div>`)}`;
}
