// Bagging: which pieces, which colours, where the bag stands and how warm it is there;
// then one big button closes the bag.
import { Kind } from '../dist/constants.js';
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { useScreenOn } from '../device/wake-lock.js';
import { closeBag } from '../journal/journal.js';
import { bagView, batchView, placeViews } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { BagTag } from '../parts/bag-tag.js';
import { BlankPicker, bagNumberFor } from '../parts/blank-picker.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { PlacePicker } from '../parts/place-picker.js';
import { passBag, passPrintOrder, receiveBlank } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { Swatch } from '../parts/swatch.js';
import { TemperatureField, useTemperature } from '../parts/temperature-field.js';
/** @import { FactDraft } from '../dist/calls.d.ts' */

const hour = 3600e3; // ms

export function Bagging({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: places, fault: placesFault } = useLiveData(placeViews);
  const [closed, setClosed] = useState(null); // the bag that was just closed, by its id
  useScreenOn();
  const frame = {
    here: 'batches',
    back: { href: `/batch/${id}`, words: batch?.name || 'Batch' },
    fault: fault || placesFault,
  };
  if (!batch || !places) return html`<${Screen} ...${frame} title="Dye and bag" />`;
  return html`<${BagForm} key=${batch.bags.length} frame=${frame} batch=${batch} places=${places}
    closed=${closed} onClosed=${setClosed} />`;
}

let lastBag = {}; // {place, celsius, at} of the bag before: the next most likely stands there too

/** toggleKey adds a key to an object, or takes it away. */
function toggleKey(chosen, key) {
  const { [key]: removed, ...rest } = chosen;
  return key in chosen ? rest : { ...chosen, [key]: '1' };
}

/**
 * readingDraft is a temperature that a person read where the bag is put.
 * @returns {FactDraft}
 */
const readingDraft = (place, celsius, typed) => ({
  scope: `place/${place}`,
  subject: place,
  kind: Kind.placeRead,
  body: { celsius, typed: { celsius: typed } },
});

/** useBagForm holds what was chosen for the bag, and gives save, which closes it. */
function useBagForm(batch, places, onClosed) {
  const openPieces = batch.pieces.filter((p) => p.left > 0);
  const [pieces, setPieces] = useState(openPieces.length === 1 ? { [openPieces[0].id]: '1' } : {});
  const [parts, setParts] = useState(batch.colours.length === 1 ? { [batch.colours[0].id]: '1' } : {});
  const [mixing, setMixing] = useState(false);
  const [placeId, setPlaceId] = useState(
    places.some((p) => p.id === lastBag.place) ? lastBag.place : places[0]?.id || '',
  );
  const [blank, setBlank] = useState('');
  const place = places.find((p) => p.id === placeId);
  const recent = lastBag.place === placeId && Date.now() - lastBag.at < hour ? lastBag.celsius : undefined;
  const temperature = useTemperature(place?.celsius ?? recent);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      // A temperature that nobody set now, nor read lately, is not recorded: the core goes
      // by the place's older readings, or assumes one, and says so.
      const known = temperature.touched || (place?.celsius !== undefined && !place.old) || recent !== undefined;
      const celsius = known ? await temperature.read() : undefined;
      const isReading = placeId && temperature.touched && !isHelper.value;
      const readings = isReading && celsius !== undefined ? [readingDraft(placeId, celsius, temperature.typed)] : [];
      const bag = {
        pieces: Object.keys(pieces).map((piece) => ({ piece, count: Number(pieces[piece]) })),
        colours: Object.keys(parts).map((colour) => ({ colour, share: mixing ? Number(parts[colour]) : 0 })),
        place: placeId,
        celsius,
        fold: batch.pieces.find((p) => p.id === Object.keys(pieces)[0])?.fold || '',
        blank,
      };
      lastBag = { place: placeId, celsius, at: Date.now() };
      const [fact] = await closeBag(batch.id, bag, readings);
      onClosed(fact.subject);
      scrollTo(0, 0);
    });
  const isComplete = Object.keys(pieces).length > 0 && Object.keys(parts).length > 0;
  const chosen = { openPieces, pieces, setPieces, parts, setParts, setMixing, place, placeId, setPlaceId };
  return { ...chosen, blank, setBlank, temperature, fault, busy, save, isComplete };
}

function BagForm({ frame, batch, places, closed, onClosed }) {
  const form = useBagForm(batch, places, onClosed);
  const [scanned] = useState(receiveBlank); // a blank label that was scanned on the way here
  const number = bagNumberFor(form.blank, batch.next?.text);
  const anyLeft = form.openPieces.length > 0;
  const close = html`<button type="button" class="act" disabled=${form.busy || !form.isComplete || !number}
    onClick=${form.save}>Close bag ${number}</button>`;
  const advice = 'Dye it on the rack, lay it in its bag wet, press the air out, close.';
  return html`<${Screen} ...${frame} fault=${frame.fault || form.fault}
    title=${number ? `Bag ${number}` : 'Dye and bag'}
    sub=${anyLeft ? batch.noNumber || advice : 'Every piece is in a bag.'}
    acts=${
      anyLeft && (number || batch.blanks)
        ? close
        : html`<a class="act" href=${`/batch/${batch.id}`}>Back to the batch</a>`
    }>
    ${closed && html`<${ClosedBag} batch=${batch.id} bag=${closed} />`}
    ${
      anyLeft &&
      html`<${PieceChoice} form=${form} />
      <${ColourChoice} form=${form} colours=${batch.colours} />
      <${LabelChoice} form=${form} batch=${batch} scanned=${scanned} />
      <${PlacePicker} places=${places} value=${form.placeId} onChange=${form.setPlaceId} />
      <${TemperatureField} of=${form.temperature}
        help=${
          form.place?.celsius != null ? form.place.text : 'no reading yet: enter what a thermometer there shows'
        } />`
    }
  </${Screen}>`;
}

/** PieceChoice ticks the pieces of the bag, and asks how many of each. */
const PieceChoice = ({ form }) => html`<fieldset class="field"><legend class="label">Pieces in this bag</legend>
  <div class="picks one">${form.openPieces.map(
    (p) => html`<div key=${p.id}><span class="pick">
      <input type="checkbox" id=${`p${p.id}`} checked=${p.id in form.pieces}
        onChange=${() => form.setPieces((before) => toggleKey(before, p.id))} />
      <label for=${`p${p.id}`}><span class="capitalized">${p.words}</span><small>${p.left} left</small></label></span>
      ${
        p.id in form.pieces &&
        p.left > 1 &&
        html`<${Stepper} label=${`How many of ${p.words}`} hidden value=${form.pieces[p.id]} min=${1} max=${p.left}
          onChange=${(count) => form.setPieces({ ...form.pieces, [p.id]: count })} />`
      }
    </div>`,
  )}</div></fieldset>`;

/** ColourChoice ticks the colours of the bag, and asks for parts where one gets more. */
const ColourChoice = ({ form, colours }) => html`
  <fieldset class="field"><legend class="label">Colours on it</legend><div class="palette">${colours.map(
    (c) => html`<span class="pick" key=${c.id}>
      <input type="checkbox" id=${`c${c.id}`} checked=${c.id in form.parts}
        onChange=${() => form.setParts((before) => toggleKey(before, c.id))} />
      <label for=${`c${c.id}`}><${Swatch} colour=${c} /></label></span>`,
  )}</div></fieldset>
  ${
    Object.keys(form.parts).length > 1 &&
    html`<details onToggle=${(e) => form.setMixing(e.currentTarget.open)}>
      <summary>More of one colour than of another</summary>
      ${Object.keys(form.parts).map(
        (id) => html`<${Stepper} key=${id} label=${`Parts of ${colours.find((c) => c.id === id)?.name}`}
          value=${form.parts[id]} min=${1} max=${20} onChange=${(n) => form.setParts({ ...form.parts, [id]: n })} />`,
      )}</details>`
  }`;

/** LabelChoice asks for the numbered label on the bag, or leads to where those are printed. */
const LabelChoice = ({ form, batch, scanned }) =>
  batch.blanks
    ? html`<${BlankPicker} batch=${batch.id} free=${batch.blanks} lettered=${batch.blanksLettered}
        onPick=${form.setBlank} first=${scanned} other=${batch.next?.text} />`
    : html`<${LinkRow} href=${`/batch/${batch.id}/labels`} title="Print numbered blanks first"
        sub="attach them with wet hands, scan them here"
        onClick=${() => passPrintOrder({ what: 'blanks', back: location.pathname, words: 'Dye and bag' })} />`;

/** ClosedBag is the bag that was just closed, with its label one tap away. */
function ClosedBag({ batch, bag }) {
  const { value: view, fault } = useLiveData(() => bagView(batch, bag), [bag]);
  if (!view) return html`<${ErrorBox} fault=${fault} />`;
  return html`<div class="just"><${BagTag} bag=${view} />
    <a class="act secondary small" href=${`/bag/${batch}/${bag}`}
      onClick=${() => passBag(bag)}>Label of bag ${view.number}</a>
  </div>`;
}
