// Bagging: which pieces, which colours, where it stands and how warm it is there;
// then one big button.
import { Kind } from '../dist/constants.js';
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { isHelper } from '../sync/hub-state.js';
import { closeBag } from '../journal/journal.js';
import { batchView, bagView, placeViews } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { Swatch } from '../parts/swatch.js';
import { PlacePicker } from '../parts/place-picker.js';
import { TemperatureField, useTemperature } from '../parts/temperature-field.js';
import { BagTag } from '../parts/bag-tag.js';
import { BlankPicker, bagNumberFor } from '../parts/blank-picker.js';
import { passBag, passPrintOrder, receiveBlank } from '../parts/screen-handoff.js';
import { Icon } from '../parts/icons.js';
import { useScreenOn } from '../device/wake-lock.js';

export function Bagging({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: places } = useLiveData(placeViews);
  const [closed, close] = useState(null);
  useScreenOn();
  const back = { href: `/batch/${id}`, words: batch?.name || 'Batch' };
  if (!batch || !places) return html`<${Screen} here="batches" back=${back} title="Dye and bag" fault=${fault} />`;
  return html`<${Form} key=${batch.bags.length} batch=${batch} places=${places} back=${back} fault=${fault} closed=${closed} onClosed=${close} />`;
}

let last = {}; // where the bag before stood: the next stands there too, most likely

function Form({ batch, places, back, fault, closed, onClosed }) {
  const open = batch.pieces.filter((p) => p.left > 0);
  const [pieces, setPieces] = useState(open.length === 1 ? { [open[0].id]: '1' } : {});
  const [parts, setParts] = useState(batch.colours.length === 1 ? { [batch.colours[0].id]: '1' } : {});
  const [mixing, mix] = useState(false);
  const [place, setPlace] = useState(places.some((p) => p.id === last.place) ? last.place : places[0]?.id || '');
  const there = places.find((p) => p.id === place);
  const here = last.place === place && Date.now() - last.at < 3600e3 ? last.celsius : undefined; // said of this place a bag ago
  const [scanned] = useState(receiveBlank); // on the way here
  const [blank, setBlank] = useState('');
  const next = bagNumberFor(blank, batch.next?.text);
  const degrees = useTemperature(there?.celsius ?? here);
  const [run, wrong, busy] = useAction();
  const chosen = Object.keys(pieces),
    colours = Object.keys(parts);
  const toggle = (had, key) => {
    const { [key]: gone, ...rest } = had;
    return key in had ? rest : { ...had, [key]: '1' };
  };
  const shut = () =>
    run(async () => {
      // A temperature that nobody set now, nor read of late, is not noted: the core
      // goes by the place's older readings, or assumes one, and says so.
      const said = degrees.touched || (there?.celsius !== undefined && !there.old) || here !== undefined;
      const celsius = said ? await degrees.read() : undefined;
      const also =
        place && degrees.touched && !isHelper.value
          ? [
              {
                scope: `place/${place}`,
                subject: place,
                kind: Kind.placeRead,
                body: { celsius: /** @type {number} */ (celsius), typed: { celsius: degrees.typed } },
              },
            ]
          : [];
      last = { place, celsius, at: Date.now() };
      const [fact] = await closeBag(
        batch.id,
        {
          pieces: chosen.map((piece) => ({ piece, count: Number(pieces[piece]) })),
          colours: colours.map((colour) => ({ colour, share: mixing ? Number(parts[colour]) : 0 })),
          place,
          celsius,
          fold: batch.pieces.find((p) => p.id === chosen[0])?.fold || '',
          blank,
        },
        also,
      );
      onClosed(fact.subject);
      scrollTo(0, 0);
    });
  const ready = chosen.length > 0 && colours.length > 0;
  return html`<${Screen} here="batches" back=${back} title=${next ? `Bag ${next}` : 'Dye and bag'} fault=${fault || wrong}
    sub=${open.length === 0 ? 'Every piece is in a bag.' : batch.noNumber || 'Dye it on the rack, lay it in its bag wet, press the air out, close.'}
    acts=${open.length > 0 && (next || batch.blanks) ? html`<button type="button" class="act" disabled=${busy || !ready || !next} onClick=${shut}>Close bag ${next}</button>` : html`<a class="act" href=${`/batch/${batch.id}`}>Back to the batch</a>`}>
    ${closed && html`<${Closed} batch=${batch.id} bag=${closed} />`}
    ${
      open.length > 0 &&
      html`
      <fieldset class="field"><legend class="label">Pieces in this bag</legend><div class="picks one">${open.map(
        (p) => html`<div key=${p.id}><span class="pick">
        <input type="checkbox" id=${'p' + p.id} checked=${p.id in pieces} onChange=${() => setPieces((had) => toggle(had, p.id))} />
        <label for=${'p' + p.id}><span class="first">${p.words}</span><small>${p.left} left</small></label></span>
        ${p.id in pieces && p.left > 1 && html`<${Stepper} label=${`How many of ${p.words}`} hidden value=${pieces[p.id]} onChange=${(n) => setPieces({ ...pieces, [p.id]: n })} min=${1} max=${p.left} />`}</div>`,
      )}</div></fieldset>
      <fieldset class="field"><legend class="label">Colours on it</legend><div class="palette">${batch.colours.map(
        (c) => html`<span class="pick" key=${c.id}>
        <input type="checkbox" id=${'c' + c.id} checked=${c.id in parts} onChange=${() => setParts((had) => toggle(had, c.id))} />
        <label for=${'c' + c.id}><${Swatch} colour=${c} /></label></span>`,
      )}</div></fieldset>
      ${
        colours.length > 1 &&
        html`<details onToggle=${(e) => mix(e.currentTarget.open)}><summary>More of one colour than of another</summary>
        ${colours.map((c) => html`<${Stepper} key=${c} label=${`Parts of ${batch.colours.find((k) => k.id === c)?.name}`} value=${parts[c]} onChange=${(n) => setParts({ ...parts, [c]: n })} min=${1} max=${20} />`)}</details>`
      }
      ${
        batch.blanks
          ? html`<${BlankPicker} batch=${batch.id} free=${batch.blanks} lettered=${batch.blanksLettered} onPick=${setBlank} first=${scanned} other=${batch.next?.text} />`
          : html`<a class="link-row" href=${`/batch/${batch.id}/labels`} onClick=${() => passPrintOrder({ what: 'blanks', back: location.pathname, words: 'Dye and bag' })}><span><b>Print numbered blanks first</b><span class="sub">tied on with wet hands, scanned here</span></span><${Icon} name="on" /></a>`
      }
      <${PlacePicker} places=${places} value=${place} onChange=${setPlace} />
      <${TemperatureField} of=${degrees} help=${there?.celsius != null ? there.text : 'no reading yet: enter what a thermometer there shows'} />`
    }
  </${Screen}>`;
}

/** Closed is the bag that was just closed, with its label one tap away. */
function Closed({ batch, bag }) {
  const { value: view } = useLiveData(() => bagView(batch, bag), [bag]);
  return (
    view &&
    html`<div class="just"><${BagTag} bag=${view} /><a class="act two small" href=${`/bag/${batch}/${bag}`} onClick=${() => passBag(bag)}>${`Label of bag ${view.number}`}</a></div>`
  );
}
