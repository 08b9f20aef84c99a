// A form for a thing on the shelf: a new one with how much of it there is, or to be changed.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { Chips, Choice } from './choice.js';
import { useAction, useData, useUnsavedFields } from './data-hooks.js';
import { Field, Quantity } from './field.js';
import { ErrorBox } from './messages.js';
import { AmountFields, isCounted, useMove } from './stock-move.js';

/** stockTypes are the types of things, each with a name to start from. */
export const stockTypes = [
  { stockType: 'dye', words: 'powder', name: '' },
  { stockType: 'alkali', words: 'soda ash', name: 'soda ash' },
  { stockType: 'softener', words: 'softener', name: 'softener' },
  { stockType: 'bottle', words: 'bottles', name: 'bottles' },
  { stockType: 'bag', words: 'bags', name: 'bags' },
  { stockType: 'scale', words: 'scale', name: 'scale' },
  { stockType: 'urea', words: 'urea', name: 'urea' },
  { stockType: 'other', words: 'something else', name: '' },
];

const opened = [
  { value: 0, words: 'just now' },
  { value: 30, words: 'a month ago' },
  { value: 180, words: 'half a year ago' },
  { value: 400, words: 'over a year ago' },
];
const day = 86400e3; // ms

/** unsavedStockFormKey is the name under which a form about a thing on the shelf is kept until it is saved. */
export const unsavedStockFormKey = 'stock';

/** useFigure takes [text, setText] of a quantity that may be left out, and returns its value. */
function useFigure([typed, setTyped]) {
  const [reading, setReading] = useState(/** @type {any} */ ({}));
  return { typed, setTyped, setReading, value: typed.trim() ? reading.value : undefined };
}

const Figure = ({ figure, ...rest }) =>
  html`<${Quantity} ...${rest} value=${figure.typed} onInput=${figure.setTyped} onRead=${figure.setReading} />`;

/** StockForm edits one thing on the shelf; for a new thing it also asks how much of it there is. */
export function StockForm({ stockType, stock, done }) {
  const [field] = useUnsavedFields(unsavedStockFormKey);
  const [name, setName] = field('name', stock?.name ?? stockTypes.find((s) => s.stockType === stockType)?.name ?? '');
  const [rgb, setRGB] = field('rgb', stock?.rgb || (stockType === 'dye' ? '#7a5a8c' : ''));
  const [dyeClass, setClass] = field('class', stock?.class || (stockType === 'dye' ? 'dichlorotriazine' : ''));
  const [lot, setLot] = field('lot', stock?.lot || '');
  const [age, setAge] = field('age', /** @type {any} */ ('')); // days since it was opened
  const strength = useFigure(field('strength', stock?.strength || ''));
  const holds = useFigure(field('holds', stock?.holds || ''));
  const step = useFigure(field('step', stock?.step || ''));
  const keep = useFigure(field('keep', stock?.keep ? `${stock.keep}${isCounted(stockType) ? '' : ' g'}` : ''));
  const move = useMove(stockType, field);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const given = {
        rgb: stockType === 'dye' && rgb.toLowerCase(),
        class: dyeClass,
        lot: lot.trim(),
        strength: strength.value,
        holds: holds.value,
        division: step.value,
        keep: keep.value,
        opened: age !== '' && Date.now() - age * day,
      };
      const body = { name: name.trim(), ...Object.fromEntries(Object.entries(given).filter(([, v]) => v)) };
      const change = { scope: 'shelf', subject: stock?.id, kind: Kind.stockChanged, body };
      if (stock) await record([change], { undo: `${capitalize(body.name)} changed` });
      else {
        const [subject] = await call('id.new', { n: 1 });
        const known = { scope: 'shelf', subject, kind: Kind.stockKnown, body: { ...body, sort: stockType } };
        const bought = { scope: 'shelf', subject, kind: Kind.stockBought, body: move.body() };
        const undo = `${capitalize(body.name)} is on the shelf`;
        await record(move.amount.trim() ? [known, bought] : [known], { undo });
      }
      done();
    });
  const isReady = name.trim() && (stock || !move.amount.trim() || move.isReady);
  return html`<div>
    <${Field} label="Name" value=${name} onInput=${setName} placeholder=${stockType === 'dye' ? 'rust' : ''} />
    ${stockType === 'dye' && html`<${DyeFields} ...${{ rgb, setRGB, dyeClass, setClass, strength }} />`}
    ${
      stockType === 'bottle' &&
      html`<${Figure} figure=${holds} label="Each holds" kinds=${['volume']} placeholder="240 mL or 8 fl oz" />`
    }
    ${
      stockType === 'scale' &&
      html`<${Figure} figure=${step} label="Smallest step it shows" kinds=${['mass']} placeholder="0.1 g"
        presets=${['0.01 g', '0.1 g', '1 g']} help="weighings are rounded to this step" />`
    }
    ${
      !stock &&
      html`<${AmountFields} move=${move} label=${isCounted(stockType) ? 'How many there are' : 'How much there is'}
        withPrice />`
    }
    <details open=${Boolean(stock)}><summary>More</summary>
      ${
        !isCounted(stockType) &&
        html`<${Field} label="Lot" value=${lot} onInput=${setLot} help="as the jar says" />
        <${Chips} label="Jar opened" value=${age} onChange=${setAge} options=${opened} />`
      }
      <${Figure} figure=${keep} label="Add to the shopping list below"
        kinds=${isCounted(stockType) ? ['count'] : ['mass']} placeholder=${isCounted(stockType) ? '5' : '20 g'} />
    </details>
    <${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy || !isReady} onClick=${save}>
      ${stock ? 'Save' : `Put ${name.trim() || 'it'} on the shelf`}</button>
  </div>`;
}

function DyeFields({ rgb, setRGB, dyeClass, setClass, strength }) {
  const { value: choices } = useData(() => call('choices'));
  return html`<${Field} label="How it looks" type="color" value=${rgb} onInput=${setRGB} />
    <${Figure} figure=${strength} label="Strength in the maker’s instructions" kinds=${['concentration']}
      help="grams of powder per finished volume" placeholder="40 g/L" presets=${choices?.strengths} />
    ${
      choices &&
      html`<details><summary>Class: ${choices.classes.find((c) => c.class === dyeClass)?.words}</summary>
        <${Choice} oneColumn hideLabel label="Class of the dye" value=${dyeClass} onChange=${setClass}
          options=${choices.classes.map((c) => ({ value: c.class, words: c.words }))} /></details>`
    }`;
}
