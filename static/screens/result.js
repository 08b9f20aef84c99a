// How a bag came out: rated with one thumb, each tap saved at once and taken off by tapping it
// again, and its colour read from a photo with a white card in it.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { record, withdrawFacts } from '../journal/journal.js';
import { resultView } from '../journal/views.js';
import { Chips } from '../parts/choice.js';
import { ColourFromPhoto } from '../parts/colour-from-photo.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { FaultChips } from '../parts/fault-chips.js';
import { Field } from '../parts/field.js';
import { LinkRow } from '../parts/link-row.js';
import { PhotoThumb } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';
import { Cloth } from '../parts/swatch.js';
import { WhiteFromPhoto } from '../parts/white-from-photo.js';
import { ratedDesign } from '../fold/designs.js';

const ofFive = [1, 2, 3, 4, 5].map((n) => ({ value: n, words: String(n) }));
const percent = (share) => `${Math.round(share * 100)} %`;
const usualShares = [0, 0.05, 0.1, 0.25, 0.5];
const amounts = ['none', 'some', 'much'].map((value) => ({ value, words: value }));

export function Result({ batch, bag: id }) {
  const { value: result, fault } = useLiveData(() => resultView(batch, id), [batch, id]);
  const [run, actionFault] = useAction();
  const back = { href: `/bag/${batch}/${id}`, words: `Bag ${result?.number || ''}` };
  const frame = { activeTab: 'batches', back, fault: fault || actionFault };
  if (!result) return html`<${Screen} ...${frame} title="Result" />`;
  const save = (body, words, more = []) =>
    record([{ scope: `batch/${batch}`, subject: id, kind: Kind.resultRated, body }, ...more], {
      undo: `Bag ${result.number}: ${words}`,
    });
  const rate = (body, words) => run(() => save(body, words));
  const rateWhite = (share) =>
    run(async () => {
      const rated = share === undefined ? { cleared: ['white_share'] } : { white_share: share };
      const words = share === undefined ? 'white left taken off' : `${percent(share)} white left`;
      const [design] = await Promise.allSettled([ratedDesign(batch, id, share)]);
      await save(rated, words, design.status === 'fulfilled' ? design.value : []);
      if (design.status === 'rejected') throw design.reason; // the rating is saved all the same
    });
  return html`<${Screen} ...${frame} overline=${`Bag ${result.number}, ${result.what}`} title="Result"
    sub=${capitalize(result.summary) || '1 is poor, 5 as wished. Each tap is saved; tap again to take it off.'}>
    <${Ratings} rating=${result.rating} choices=${result.choices} rate=${rate}
      rateWhite=${rateWhite} />
    <${Note} note=${result.rating.note || ''} rate=${rate} />
    <${Readings} result=${result} batch=${batch} run=${run} rateWhite=${rateWhite} />
    <section>
      <${LinkRow} href=${`/bag/${batch}/${id}/why`} title="Why did it come out like this?"
        sub="from this bag’s record" />
      <${LinkRow} href=${`/bag/${batch}/${id}/compare`} title="Compare with another piece"
        sub="of this batch or another: its record and its colour" />
      <${LinkRow} href=${`/bag/${batch}/${id}/card`} title="Price tag and care card" sub="to print" />
    </section>
  </${Screen}>`;
}

/** Ratings are the rows of one-thumb ratings. */
function Ratings({ rating, choices, rate, rateWhite }) {
  const chips = (label, options, value, change) => html`<${Chips} label=${label} value=${value} onChange=${change}
    options=${options.map((o) => ({ ...o, name: `${label}: ${o.words}` }))} />`;
  const row = (label, options, value, key, words) =>
    chips(label, options, value, (v) =>
      v === '' ? rate({ cleared: [key] }, `${label.toLowerCase()} taken off`) : rate({ [key]: v }, words(v)),
    );
  const traced = rating.whiteShare;
  const isUsual = traced === undefined || usualShares.includes(traced);
  const whites = (isUsual ? usualShares : [...usualShares, traced]).map((v) => ({ value: v, words: percent(v) }));
  const score = (key, what) => row(what, ofFive, rating[key], key, (v) => `${what.toLowerCase()} ${v} of 5`);
  return html`<div class="ratings">
    ${score('overall', 'Overall')}
    ${score('bright', 'Brightness')}
    ${score('even', 'Evenness')}
    ${chips('White left', whites, traced, (v) => rateWhite(v === '' ? undefined : v))}
    ${row('Bleeding', amounts, rating.bled, 'bled', (v) => `bled: ${v}`)}
    <${FaultChips} label="What is wrong with it?" choices=${choices} chosen=${rating.faults || []}
      onChange=${(faults) => rate({ faults }, 'faults saved')} />
  </div>`;
}

/** Note is a sentence of the dyer's own. */
function Note({ note, rate }) {
  const [text, setText] = useState(/** @type {string | undefined} */ (undefined));
  const typed = text?.trim();
  const save = () => (typed ? rate({ note: typed }, 'note saved') : rate({ cleared: ['note'] }, 'note taken off'));
  const changed = typed !== undefined && typed !== note;
  return html`<div>
    <${Field} label="Note" value=${text ?? note} onInput=${setText} />
    ${changed && html`<button type="button" class="button secondary small" onClick=${save}>Save note</button>`}
  </div>`;
}

/** Readings are the colours that were read, and the photos to read one from. */
function Readings({ result, batch, run, rateWhite }) {
  const [photo, setPhoto] = useState('');
  const [tracing, setTracing] = useState('');
  const undo = (fact) => run(() => withdrawFacts([fact]));
  const bagPage = html`<a href=${`/bag/${batch}/${result.bag}`}>bag’s page</a>`;
  return html`<section><h2>From a photo</h2>
    <p class="body-text">For its colour, lay white paper beside the cloth, both in the same daylight, and photograph
      them together. The reading is approximate.</p>
    <ul class="rows readings">${result.readings.map(
      (x) => html`<li key=${x.fact}><${Cloth} rgb=${x.rgb} /><span><b>${capitalize(x.words)}</b>
        <span class="sub">${capitalize([x.when, x.plan, x.change].filter(Boolean).join('. '))}</span></span>
        <button type="button" class="text-button" onClick=${() => undo(x.fact)}>Undo</button></li>`,
    )}</ul>
    ${result.others.length > 0 && html`<p class="note">${result.others.join('; ')}.</p>`}
    ${
      result.photos.length === 0
        ? html`<p class="note">No photo yet: take one on the ${bagPage}.</p>`
        : html`<div class="photos">${result.photos.map(
            (p) => html`<span class="photo-choice" key=${p.hash}><${PhotoThumb} hash=${p.hash} text=${p.text} />
              <button type="button" class="button secondary small" onClick=${() => setPhoto(p.hash)}>
                Read colour</button>
              <button type="button" class="button secondary small" onClick=${() => setTracing(p.hash)}>
                Trace white</button>
            </span>`,
          )}</div>`
    }
    <${Dialog} open=${Boolean(photo)} onClose=${() => setPhoto('')} title="Colour from a photo">
      <${ColourFromPhoto} key=${photo} batch=${batch} bag=${result.bag} hash=${photo} number=${result.number}
        done=${() => setPhoto('')} /></${Dialog}>
    <${Dialog} open=${Boolean(tracing)} onClose=${() => setTracing('')} title="White from a photo">
      <${WhiteFromPhoto} key=${tracing} hash=${tracing} onSave=${rateWhite}
        done=${() => setTracing('')} /></${Dialog}>
  </section>`;
}
