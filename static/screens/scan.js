// Scan: the camera where there is one, else the number or the id on the tag.
import {html, first} from '/parts/html.js';
import {useState} from 'preact/hooks';
import {findNumber, findId} from '/find.js';
import {call} from '/core.js';
import {env} from '/env.js';
import {go} from '/router.js';
import {useDo} from '/parts/live.js';
import {Screen} from '/parts/screen.js';
import {Icon} from '/parts/icons.js';
import {Camera} from '/parts/camera.js';
import {Field} from '/parts/field.js';
import {Wrong} from '/parts/said.js';

const keys = ['1', '2', '3', '4', '5', '6', '7', '8', '9', '⌫', '0'];

/** find goes to what was scanned or typed: a label's address, its id, or a number. */
async function find(text) {
  const typed = text.trim();
  if (/^\d{1,4}\s*[a-z]?$/i.test(typed)) return await findNumber(typed);
  if (/[/:]/.test(typed) || typed.length > 16) {
    const {bag} = await call('label.show', {address: typed, env: await env()});
    go(`/b/${bag.code || typed.split('/').pop()}`);
    return null;
  }
  const found = await findId(typed);
  return found ? [found] : [];
}

export function Scan() {
  const [text, set] = useState('');
  const [many, setMany] = useState(null);
  const [none, setNone] = useState('');
  const [run, fault, busy] = useDo();
  const look = what => run(async () => {
    setMany(null); setNone('');
    const found = await find(what);
    if (!found) return;
    if (found.length === 1) go(`/bag/${found[0].batch}/${found[0].bag}`);
    else if (found.length === 0) setNone(what);
    else setMany(found);
  });
  const press = k => { setMany(null); setNone(''); set(k === '⌫' ? text.slice(0, -1) : text + k); };
  return html`<${Screen} here="scan" title="Which bag?" fault=${fault}>
    <${Camera} onCode=${look} />
    ${none && html`<div class="fault" role="status"><p><b>No bag ${none} on this phone.</b></p><p>Look at the number underlined on the tag, or come near the hub once.</p></div>`}
    ${many && html`<section class="close"><h2>More than one bag bears this number</h2>${many.map(f => html`<a class="link-row" href=${`/bag/${f.batch}/${f.bag}`}><span><b>Bag ${f.number}</b><span class="sub">${f.batchName}</span></span><${Icon} name="on" /></a>`)}</section>`}
    <output class="pad-shows" aria-label="Number so far">${text.length <= 6 ? text : first(text.slice(0, 22))}</output>
    <div class="pad" role="group" aria-label="Number of the bag">${keys.map(k => html`<button type="button" key=${k} aria-label=${k === '⌫' ? 'delete' : k} onClick=${() => press(k)}>${k === '⌫' ? html`<${Icon} name="delete" />` : k}</button>`)}
      <button type="button" class="go" disabled=${busy || !text.trim()} onClick=${() => look(text)}>Show</button></div>
    <details><summary>Type the id or paste an address</summary>
      <${Field} label="Id, number or address on the label" value=${text} onInput=${set} placeholder="K7M2-Q9X4-C, 8H" enterkeyhint="go" />
      <button type="button" class="act two wide" disabled=${busy || !text.trim()} onClick=${() => look(text)}>Find it</button></details>
  </${Screen}>`;
}
