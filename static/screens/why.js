// Why a bag came out pale, patchy or otherwise wrong: what its own record says, the most
// probable cause first.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { whyView } from '../journal/views.js';
import { useLiveData } from '../parts/data-hooks.js';
import { FaultChips } from '../parts/fault-chips.js';
import { SourceLine } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';

export function Why({ batch, bag: id }) {
  const [chosen, setChosen] = useState(/** @type {string[] | undefined} */ (undefined)); // by a tap here
  const { value: why, fault } = useLiveData(() => whyView(batch, id, chosen), [batch, id, chosen?.join()]);
  const frame = {
    activeTab: 'batches',
    back: { href: `/bag/${batch}/${id}`, words: `Bag ${why?.number || ''}` },
    fault,
  };
  if (!why) return html`<${Screen} ...${frame} title="Why?" />`;
  return html`<${Screen} ...${frame} overline=${`Bag ${why.number}, ${why.what}`} title="Why?"
    sub="What this bag’s own record says.">
    <${FaultChips} label="What is wrong with it?" choices=${why.choices} chosen=${chosen || why.chosen}
      onChange=${setChosen} />
    <p class="lead why-verdict" aria-live="polite">${capitalize(why.headline)}</p>
    ${!why.opened && html`<p class="note">The bag has not been opened yet, so its cure cannot be judged.</p>`}
    <ol class="causes">${why.causes.map(
      (c, i) => html`<${Cause} key=${c.key} cause=${c} place=${why.causes.length > 1 ? `${i + 1}. ` : ''}
        makes=${(chosen || why.chosen).length > 1 && c.makes} />`,
    )}</ol>
    <${Missing} list=${why.missing} />
  </${Screen}>`;
}

/** Cause shows one cause with its figure, how sure it is, and what to do next time. */
const Cause = ({ cause, place, makes }) => html`<li>
  <h2>${place}${cause.title} <span class=${`sure ${cause.sure === 'likely' ? 'likely' : ''}`}>${cause.sure}</span></h2>
  ${makes && html`<p class="sub">This can make it: ${makes}</p>`}
  <p>${capitalize(keepUnits(cause.figure))}.</p>
  <p class="next"><span class="label">Next time</span> ${cause.next}</p>
  <${SourceLine} source=${cause.source} />
</li>`;

/** Missing names what nobody recorded and would tell more. */
const Missing = ({ list }) =>
  list.length > 0 &&
  html`<section><h2>Not recorded</h2>
    <p class="body-text">${capitalize(list.join('; '))}.</p></section>`;
