// Check the shelf: one bag after the other is scanned, and each is a row that says
// whether it is ready.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { useScreenOn } from '../device/wake-lock.js';
import { addBag, clearBags, refreshBags, scannedBags } from '../scan/shelf-check.js';
import { classifyCode } from '../scan/scanned-code.js';
import { showToast } from '../device/toast.js';
import { useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { CodeScanner } from '../parts/code-scanner.js';
import { ForeignCode } from '../parts/foreign-code.js';
import { Icon } from '../parts/icons.js';
import { Swatch } from '../parts/swatch.js';
import { BagNumber, Tag } from '../parts/bag-tag.js';

const marks = { ready: 'tick', 'not yet': 'wait', opened: 'dash', unknown: 'unknown' };
const tones = { ready: 'done', 'not yet': 'wet', opened: 'plain', unknown: 'care' };
const words = { ready: 'ready', 'not yet': 'not yet', opened: 'opened', unknown: 'unknown' };

export function ShelfCheck() {
  const [foreign, setForeign] = useState();
  const [last, setLast] = useState(''); // what the scan before came to
  const { fault } = useLiveData(refreshBags);
  useScreenOn();
  const rows = scannedBags.value;
  const scanned = async (text) => {
    setForeign(undefined);
    const is = await classifyCode(text);
    if (is.kind !== 'bag' && is.kind !== 'blank') {
      setForeign(is.text ?? text);
      setLast('');
      return;
    }
    const fresh = await addBag(is.code);
    setLast(`Bag ${is.number}${fresh ? '' : ': counted already'}`);
    return fresh;
  };
  const empty = () => {
    const back = clearBags();
    setLast('');
    showToast('List cleared', 'Undo', () => {
      back();
      showToast('The list is back');
    });
  };
  return html`<${Screen} here="scan" back=${{ href: '/scan', words: 'Scan' }} title="Check the shelf" fault=${fault} sub=${rows.length === 0 && 'Scan one bag after the other. Each is a row here, also without network.'}>
    <${CodeScanner} onCode=${scanned} words=${rows.length ? 'Go on scanning' : 'Start scanning'} many />
    ${foreign !== undefined && html`<${ForeignCode} text=${foreign} />`}
    <p class="aside" role="status">${last}</p>
    ${
      rows.length > 0 &&
      html`<section class="close"><${Count} rows=${rows} />
      <ul class="tags">${rows.map((row) => html`<li key=${row.key}><${Row} row=${row} again=${last.endsWith('already') && row === rows[0]} /></li>`)}</ul>
      <button type="button" class="act two small wide" onClick=${empty}>Clear the list</button></section>`
    }
  </${Screen}>`;
}

/** Count says how many bags there are, of which sort. */
function Count({ rows }) {
  const n = {};
  for (const { found } of rows) if (found) n[found.bag.readiness] = (n[found.bag.readiness] || 0) + 1;
  return html`<h2 class="count">${rows.length === 1 ? '1 bag' : `${rows.length} bags`}</h2>
    <ul class="counts">${Object.keys(marks)
      .filter((sort) => n[sort])
      .map(
        (sort) =>
          html`<li key=${sort} class=${'tone-' + tones[sort]}><${Icon} name=${marks[sort]} /><b>${n[sort]}</b> ${words[sort]}</li>`,
      )}</ul>`;
}

/** Row is one bag: its number, its colours, how it stands; again says that it was scanned once more. */
function Row({ row, again }) {
  const { found } = row;
  if (!found) return null;
  const { bag, from } = found,
    sort = bag.readiness;
  const href = from === 'phone' ? `/bag/${found.batch}/${found.id}` : `/b/${row.code}`;
  return html`<${Tag} href=${href}><div class="line"><span class="aside">Bag </span><${BagNumber} bag=${bag} />
    <span class="said"><span class=${'state mark tone-' + tones[sort]}><${Icon} name=${marks[sort]} />${capitalize(words[sort])}</span><span class="cloths">${bag.colours.map((c) => html`<${Swatch} key=${c.id || c.caps} colour=${c} little />`)}</span></span>
    <span class="said"><span class="when">${found.blank ? 'blank, tied to no bag here' : keepUnits(bag.when || bag.headline)}</span>${from === 'label' && !found.blank && html`<span class="when">as printed</span>`}${again && html`<b>counted already</b>`}</span>
  </div></${Tag}>`;
}
