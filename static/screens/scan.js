// Scan: the camera or a photo, else the number or the id on the tag.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { findTyped } from '../journal/find.js';
import { classifyCode } from '../scan/scanned-code.js';
import { navigate } from '../device/router.js';
import { useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';
import { CodeScanner } from '../parts/code-scanner.js';
import { Field } from '../parts/field.js';
import { ForeignCode } from '../parts/foreign-code.js';
import { NumberPad } from '../parts/number-pad.js';

/**
 * find gives the bags with a number or an id that was typed, else the blanks and the
 * tags of pieces: each a path, with its number and its batch.
 */
async function find(typed) {
  const { bags, loose } = await findTyped(typed);
  if (bags.length) return bags.map((b) => ({ ...b, path: `/bag/${b.batch}/${b.bag}`, words: `Bag ${b.number}` }));
  return loose.map((b) => ({
    ...b,
    path: `/b/${b.code}`,
    words: `Label ${b.number}, in no bag yet`,
  }));
}

export function Scan() {
  const [text, set] = useState('');
  const [letters, setLetters] = useState(false); // all keys; then there is no room for the camera
  const [pasted, paste] = useState('');
  const [found, setFound] = useState(/** @type {any} */ ({})); // {many, none, foreign}: what came of it, where it led nowhere
  const [run, fault, busy] = useAction();
  const code = async (what) => {
    const is = await classifyCode(what);
    if (is.path) navigate(is.path);
    else setFound({ foreign: is.text });
  };
  const look = (what) =>
    run(async () => {
      setFound({});
      if (/[/:]/.test(what) || what.length > 16) return code(what);
      const labels = await find(what);
      if (labels.length === 1) navigate(labels[0].path);
      else setFound(labels.length ? { many: labels } : { none: what });
    });
  const { many, none, foreign } = found;
  return html`<${Screen} here="scan" title="Which bag?" fault=${fault}>
    ${!letters && html`<${CodeScanner} onCode=${code} />`}
    ${foreign !== undefined && html`<${ForeignCode} text=${foreign} />`}
    ${!letters && html`<a class="link-row" href="/scan/shelf"><span><b>Check the shelf</b><span class="sub">scan one bag after the other</span></span><${Icon} name="on" /></a>`}
    ${none && html`<div class="fault" role="status"><p><b>No bag ${none} on this phone.</b></p><p>Look at the number underlined on the tag, or come near the hub once.</p></div>`}
    ${many && html`<section class="close"><h2>More than one ${many[0].bag ? 'bag' : 'label'} bears this number</h2>${many.map((f) => html`<a class="link-row" href=${f.path}><span><b>${f.words}</b><span class="sub">${f.batchName}</span></span><${Icon} name="on" /></a>`)}</section>`}
    <${NumberPad} value=${text} onInput=${(typed) => {
      setFound({});
      set(typed);
    }} letters=${letters} onLetters=${setLetters} onGo=${() => look(text)} busy=${busy} />
    <details><summary>Paste an address</summary>
      <${Field} label="Address or code on the label" value=${pasted} onInput=${paste} placeholder="https://…/b/…" enterkeyhint="go" />
      <button type="button" class="act two wide" disabled=${busy || !pasted.trim()} onClick=${() => look(pasted.trim())}>Find it</button></details>
  </${Screen}>`;
}
