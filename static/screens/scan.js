// Scan: finds a bag by camera, by photo, or by the number or id on its tag.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { navigate } from '../device/router.js';
import { findTyped } from '../journal/find.js';
import { classifyCode } from '../scan/scanned-code.js';
import { CodeScanner } from '../parts/code-scanner.js';
import { useAction } from '../parts/data-hooks.js';
import { Field } from '../parts/field.js';
import { ForeignCode } from '../parts/foreign-code.js';
import { LinkRow } from '../parts/link-row.js';
import { NumberPad } from '../parts/number-pad.js';
import { Screen } from '../parts/screen.js';

/**
 * findBags returns the bags whose number or id was typed; if there are none, the matching blanks and piece
 * tags. Each has its path, number and batch.
 */
async function findBags(typed) {
  const { bags, blanks } = await findTyped(typed);
  if (bags.length) return bags.map((b) => ({ ...b, path: `/bag/${b.batch}/${b.bag}`, words: `Bag ${b.number}` }));
  return blanks.map((l) => ({ ...l, path: `/b/${l.code}`, words: `Label ${l.number}, not on a bag yet` }));
}

export function Scan() {
  const [text, setText] = useState('');
  const [showsLetters, setShowsLetters] = useState(false); // shows all keys; then there is no room for the camera
  // {many, none, foreign}: the result if it does not lead to one screen
  const [result, setResult] = useState(/** @type {any} */ ({}));
  const [run, fault, busy] = useAction();
  const openCode = async (code) => {
    const { path, text: foreign } = await classifyCode(code);
    if (path) navigate(path);
    else setResult({ foreign });
  };
  const search = (typed) =>
    run(async () => {
      setResult({});
      if (/[/:]/.test(typed) || typed.length > 16) return openCode(typed);
      const found = await findBags(typed);
      if (found.length === 1) navigate(found[0].path);
      else setResult(found.length ? { many: found } : { none: typed });
    });
  const handleInput = (typed) => {
    setResult({});
    setText(typed);
  };
  return html`<${Screen} activeTab="scan" title="Which bag?" fault=${fault}>
    ${!showsLetters && html`<${CodeScanner} onCode=${openCode} />`}
    ${result.foreign !== undefined && html`<${ForeignCode} text=${result.foreign} />`}
    ${
      !showsLetters &&
      html`<${LinkRow} href="/scan/shelf" title="Check the shelf" sub="scan one bag after the other" />`
    }
    ${result.none && html`<${NotFoundNote} typed=${result.none} />`}
    ${result.many && html`<${SeveralFound} list=${result.many} />`}
    <${NumberPad} value=${text} onInput=${handleInput} showsLetters=${showsLetters} onShowLetters=${setShowsLetters}
      onGo=${() => search(text)} busy=${busy} />
    <${PasteAddress} busy=${busy} search=${search} />
  </${Screen}>`;
}

const NotFoundNote = ({ typed }) => html`<div class="fault" role="status">
  <p><b>No bag ${typed} on this phone.</b></p>
  <p>Look at the number underlined on the tag, or bring this phone near the hub once.</p></div>`;

const SeveralFound = ({ list }) => html`<section class="compact">
  <h2>More than one ${list[0].bag ? 'bag' : 'label'} has this number</h2>
  ${list.map(
    ({ path, words, batchName }) => html`<${LinkRow} key=${path} href=${path} title=${words} sub=${batchName} />`,
  )}
</section>`;

function PasteAddress({ busy, search }) {
  const [text, setText] = useState('');
  return html`<details><summary>Paste an address</summary>
    <${Field} label="Address or code on the label" value=${text} onInput=${setText} placeholder="https://…/b/…"
      enterkeyhint="go" />
    <button type="button" class="button secondary wide" disabled=${busy || !text.trim()}
      onClick=${() => search(text.trim())}>
      Find it</button></details>`;
}
