// Pieces of a bag are taken over into another: a bag of its own, whose time goes on
// from when the first was closed. The label of the first still leads to it, and on.
import { Kind } from '../dist/constants.js';
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { closeBag } from '../journal/journal.js';
import { loadState } from '../journal/states.js';
import { batchView } from '../journal/views.js';
import { BlankPicker, bagNumberFor } from './blank-picker.js';
import { useAction, useLiveData } from './data-hooks.js';
import { ErrorBox } from './messages.js';
import { Stepper } from './stepper.js';

/** SplitBag asks how many of each piece go into the other bag. */
export function SplitBag({ bag, done }) {
  const { value: has, fault: loadFault } = useLiveData(async () => {
    const [view, s] = [await batchView(bag.batch), await loadState(`batch/${bag.batch}`)];
    const { pieces, colours, fold } = s.bags.find((b) => b.id === bag.id);
    return {
      next: view.next?.text,
      none: view.noNumber,
      colours,
      fold,
      pieces: pieces
        .filter((p) => p.count > 0)
        .map((p) => ({ ...p, words: view.pieces.find((v) => v.id === p.piece)?.words || 'a piece' })),
    };
  }, [bag.id]);
  const [counts, setCounts] = useState({});
  const [blank, setBlank] = useState('');
  const [run, fault, busy] = useAction();
  if (!has) return html`<${ErrorBox} fault=${loadFault} />`;
  const moved = has.pieces
    .map((p) => ({ piece: p.piece, count: Math.min(Number(counts[p.piece]) || 0, p.count) }))
    .filter((p) => p.count > 0);
  const number = bagNumberFor(blank, has.next);
  const save = () =>
    run(async () => {
      const body = { pieces: moved, colours: has.colours, fold: has.fold, place: bag.place, blank, at: bag.closedAt };
      await closeBag(bag.batch, body, (into) => [
        { scope: `batch/${bag.batch}`, subject: bag.id, kind: Kind.bagSplit, body: { into, pieces: moved } },
      ]);
      done();
    });
  return html`<div><p>Keep it wet on the way. The other bag stays in the same place,
      and its time counts from when this one was closed.</p>
    ${has.pieces.map(
      (p) => html`<${Stepper} key=${p.piece} label=${`Of ${p.words}: ${p.count} in this bag`}
        value=${counts[p.piece] || '0'} min=${0} max=${p.count} least="one less" most="one more"
        onChange=${(n) => setCounts({ ...counts, [p.piece]: n })} />`,
    )}
    ${
      bag.blanks &&
      html`<${BlankPicker} batch=${bag.batch} free=${bag.blanks} lettered=${bag.blanksLettered} onPick=${setBlank}
        other=${has.next} />`
    }
    ${!has.next && blank === '' && html`<p class="note">${has.none}</p>`}
    <${ErrorBox} fault=${fault} />
    <button type="button" class="act wide" disabled=${busy || !number || !moved.length} onClick=${save}>
      Close bag ${number} with it</button></div>`;
}
