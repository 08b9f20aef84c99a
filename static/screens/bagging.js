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

const msPerHour = 3600e3; // ms

export function Bagging({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: places, fault: placesFault } = useLiveData(placeViews);
  const [closedBagId, setClosedBagId] = useState(null); // the bag that was just closed, by its id
  useScreenOn();
  const screenProps = {
    activeTab: 'batches',
    back: { href: `/batch/${id}`, words: batch?.name || 'Batch' },
    fault: fault || placesFault,
  };
  if (!batch || !places) return html`<${Screen} ...${screenProps} title="Dye and bag" />`;
  return html`<${BagForm} key=${batch.bags.length} screenProps=${screenProps} batch=${batch} places=${places}
    closedBagId=${closedBagId} onClosed=${setClosedBagId} />`;
}

let lastBag = {}; // {place, celsius, at} of the previous bag: the next one most likely goes to the same place

/** toggleKey adds a key to an object, or removes it. */
function toggleKey(chosen, key) {
  const { [key]: removed, ...rest } = chosen;
  return key in chosen ? rest : { ...chosen, [key]: '1' };
}

/**
 * readingDraft is the draft for a temperature that a person read where the bag goes.
 * @returns {FactDraft}
 */
const readingDraft = (place, celsius, typed) => ({
  scope: `place/${place}`,
  subject: place,
  kind: Kind.placeRead,
  body: { celsius, typed: { celsius: typed } },
});

/** useBagForm holds what was chosen for the bag, and save, which closes it. */
function useBagForm(batch, places, onClosed) {
  const openPieces = batch.pieces.filter((p) => p.left > 0);
  const [pieces, setPieces] = useState(openPieces.length === 1 ? { [openPieces[0].id]: '1' } : {});
  const [colourParts, setColourParts] = useState(batch.colours.length === 1 ? { [batch.colours[0].id]: '1' } : {});
  const [hasParts, setHasParts] = useState(false);
  const [placeId, setPlaceId] = useState(
    places.some((p) => p.id === lastBag.place) ? lastBag.place : places[0]?.id || '',
  );
  const [blank, setBlank] = useState('');
  const place = places.find((p) => p.id === placeId);
  const recentCelsius = lastBag.place === placeId && Date.now() - lastBag.at < msPerHour ? lastBag.celsius : undefined;
  const temperature = useTemperature(place?.celsius ?? recentCelsius);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      // A temperature that nobody set now or read recently is not recorded: the core uses the
      // place's older readings, or assumes one, and says so.
      const isKnown =
        temperature.touched || (place?.celsius !== undefined && !place.old) || recentCelsius !== undefined;
      const celsius = isKnown ? await temperature.read() : undefined;
      const isReading = placeId && temperature.touched && !isHelper.value;
      const readings = isReading && celsius !== undefined ? [readingDraft(placeId, celsius, temperature.typed)] : [];
      const bag = {
        pieces: Object.keys(pieces).map((piece) => ({ piece, count: Number(pieces[piece]) })),
        colours: Object.keys(colourParts).map((colour) => ({
          colour,
          share: hasParts ? Number(colourParts[colour]) : 0,
        })),
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
  const isComplete = Object.keys(pieces).length > 0 && Object.keys(colourParts).length > 0;
  const chosen = {
    openPieces,
    pieces,
    setPieces,
    colourParts,
    setColourParts,
    setHasParts,
    place,
    placeId,
    setPlaceId,
  };
  return { ...chosen, blank, setBlank, temperature, fault, busy, save, isComplete };
}

function BagForm({ screenProps, batch, places, closedBagId, onClosed }) {
  const form = useBagForm(batch, places, onClosed);
  const [scannedBlank] = useState(receiveBlank); // a blank label that was scanned on the way here
  const number = bagNumberFor(form.blank, batch.next?.text);
  const hasPiecesLeft = form.openPieces.length > 0;
  const closeButton = html`<button type="button" class="button" disabled=${form.busy || !form.isComplete || !number}
    onClick=${form.save}>Close bag ${number}</button>`;
  const advice = 'Dye it on the rack, lay it in its bag wet, press the air out, close.';
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || form.fault}
    title=${number ? `Bag ${number}` : 'Dye and bag'}
    sub=${hasPiecesLeft ? batch.noNumber || advice : 'Every piece is in a bag.'}
    actions=${
      hasPiecesLeft && (number || batch.blanks)
        ? closeButton
        : html`<a class="button" href=${`/batch/${batch.id}`}>Back to the batch</a>`
    }>
    ${closedBagId && html`<${ClosedBag} batch=${batch.id} bag=${closedBagId} />`}
    ${
      hasPiecesLeft &&
      html`<${PieceChoice} form=${form} />
      <${ColourChoice} form=${form} colours=${batch.colours} />
      <${LabelChoice} form=${form} batch=${batch} scannedBlank=${scannedBlank} />
      <${PlacePicker} places=${places} value=${form.placeId} onChange=${form.setPlaceId} />
      <${TemperatureField} temperature=${form.temperature}
        help=${
          form.place?.celsius != null ? form.place.text : 'no reading yet: enter what a thermometer there shows'
        } />`
    }
  </${Screen}>`;
}

/** PieceChoice asks which pieces are in the bag, and how many of each. */
const PieceChoice = ({ form }) => html`<fieldset class="field"><legend class="label">Pieces in this bag</legend>
  <div class="options one-column">${form.openPieces.map(
    (p) => html`<div key=${p.id}><span class="option">
      <input type="checkbox" id=${`p${p.id}`} checked=${p.id in form.pieces}
        onChange=${() => form.setPieces((before) => toggleKey(before, p.id))} />
      <label for=${`p${p.id}`}><span class="capitalized">${p.words}</span><small>${p.left} left</small></label></span>
      ${
        p.id in form.pieces &&
        p.left > 1 &&
        html`<${Stepper} label=${`How many of ${p.words}`} hideLabel value=${form.pieces[p.id]} min=${1} max=${p.left}
          onChange=${(count) => form.setPieces({ ...form.pieces, [p.id]: count })} />`
      }
    </div>`,
  )}</div></fieldset>`;

/** ColourChoice asks for the colours of the bag, and for parts if one gets more than another. */
const ColourChoice = ({ form, colours }) => html`
  <fieldset class="field"><legend class="label">Colours on it</legend><div class="palette">${colours.map(
    (c) => html`<span class="option" key=${c.id}>
      <input type="checkbox" id=${`c${c.id}`} checked=${c.id in form.colourParts}
        onChange=${() => form.setColourParts((before) => toggleKey(before, c.id))} />
      <label for=${`c${c.id}`}><${Swatch} colour=${c} /></label></span>`,
  )}</div></fieldset>
  ${
    Object.keys(form.colourParts).length > 1 &&
    html`<details onToggle=${(e) => form.setHasParts(e.currentTarget.open)}>
      <summary>More of one colour than of another</summary>
      ${Object.keys(form.colourParts).map(
        (id) => html`<${Stepper} key=${id} label=${`Parts of ${colours.find((c) => c.id === id)?.name}`}
          value=${form.colourParts[id]} min=${1} max=${20}
          onChange=${(n) => form.setColourParts({ ...form.colourParts, [id]: n })} />`,
      )}</details>`
  }`;

/** LabelChoice asks for the numbered label on the bag, or links to where those are printed. */
const LabelChoice = ({ form, batch, scannedBlank }) =>
  batch.blanks
    ? html`<${BlankPicker} batch=${batch.id} free=${batch.blanks} hasLetters=${batch.blanksLettered}
        onPick=${form.setBlank} initial=${scannedBlank} nextNumber=${batch.next?.text} />`
    : html`<${LinkRow} href=${`/batch/${batch.id}/labels`} title="Print numbered blanks first"
        sub="attach them with wet hands, scan them here"
        onClick=${() => passPrintOrder({ what: 'blanks', back: location.pathname, words: 'Dye and bag' })} />`;

/** ClosedBag is the bag that was just closed, with its label one tap away. */
function ClosedBag({ batch, bag }) {
  const { value: view, fault } = useLiveData(() => bagView(batch, bag), [bag]);
  if (!view) return html`<${ErrorBox} fault=${fault} />`;
  return html`<div class="just-closed"><${BagTag} bag=${view} />
    <a class="button secondary small" href=${`/bag/${batch}/${bag}`}
      onClick=${() => passBag(bag)}>Label of bag ${view.number}</a>
  </div>`;
}
