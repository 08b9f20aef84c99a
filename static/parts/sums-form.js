// A form for what the house's sums are made with: the water, and money.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { style } from '../device/settings.js';
import { record } from '../journal/journal.js';
import { Chips } from './choice.js';
import { useAction } from './data-hooks.js';
import { Field, Quantity } from './field.js';
import { ErrorBox } from './messages.js';

const currencies = ['EUR', 'USD', 'GBP', 'CHF', 'JPY'];
const margins = [0, 0.2, 0.3, 0.5].map((value) => ({ value, words: value ? `${value * 100} %` : 'none' }));
const localNumber = (value) => (value ? String(value).replace('.', style.value.comma ? ',' : '.') : '');

export function SumsForm({ shelf, done }) {
  const [hard, setHard] = useState(shelf.water ? `${shelf.hardness} mg/L` : '');
  const [water, setWater] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [currency, setCurrency] = useState(shelf.currency || '');
  const [hourly, setHourly] = useState(localNumber(shelf.hourly));
  const [margin, setMargin] = useState(shelf.margin || 0);
  const [run, fault, busy] = useAction();
  const [wage, setWage] = useState(/** @type {any} */ ({})); // as Quantity read it
  const save = () =>
    run(async () => {
      const body = {
        currency: currency.trim().toUpperCase(),
        hourly: hourly.trim() ? wage.value : 0,
        margin,
        typed: { hardness: hard.trim() },
      };
      const hardness = hard.trim() ? { hardness: water.value } : {};
      await record([{ scope: 'shelf', kind: Kind.sumsSet, body: { ...body, ...hardness } }], { undo: 'Saved' });
      done();
    });
  const isReady =
    (!hard.trim() || water.value >= 0) && (!hourly.trim() || wage.value >= 0) && /^([a-z]{3})?$/i.test(currency.trim());
  return html`<div>
    <${Quantity} label="Hardness of the water" kinds=${['hardness']} value=${hard} onInput=${setHard} onRead=${setWater}
      placeholder="180 mg/L" presets=${['0 mg/L', '120 mg/L', '180 mg/L', '300 mg/L']}
      help="from the water report or a strip; hard water needs softener" />
    <${Field} label="Currency" value=${currency} onInput=${setCurrency} presets=${currencies} placeholder="EUR"
      help="three letters" />
    <${Quantity} label="An hour of work" kinds=${['number']} value=${hourly} onInput=${setHourly} onRead=${setWage}
      inputmode="decimal" placeholder="15" help="leave it out if you do not count your time" />
    <${Chips} label="Margin, as a share of the price" value=${margin} onChange=${(v) => setMargin(v || 0)}
      options=${margins} />
    <${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy || !isReady} onClick=${save}>Save</button>
  </div>`;
}
