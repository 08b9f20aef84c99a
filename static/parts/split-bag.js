// Moves pieces of a bag into another bag, whose time counts from when the first bag was closed. The
// screen of the first bag links to it.
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
export function SplitBag({ bag, onDone }) {
  const { value: contents, fault: loadFault } = useLiveData(async () => {
    const [view, s] = [await batchView(bag.batch), await loadState(`batch/${bag.batch}`)];
    const { pieces, colours, fold } = s.bags.find((b) => b.id === bag.id);
    return {
      next: view.next?.text,
      noNumberText: view.noNumber,
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
  if (!contents) return html`<${ErrorBox} fault=${loadFault} />`;
  const movedPieces = contents.pieces
    .map((p) => ({ piece: p.piece, count: Math.min(Number(counts[p.piece]) || 0, p.count) }))
    .filter((p) => p.count > 0);
  const number = bagNumberFor(blank, contents.next);
  const save = () =>
    run(async () => {
      const body = {
        pieces: movedPieces,
        colours: contents.colours,
        fold: contents.fold,
        place: bag.place,
        blank,
        at: bag.closedAt,
      };
      await closeBag(bag.batch, body, (into) => [
        { scope: `batch/${bag.batch}`, subject: bag.id, kind: Kind.bagSplit, body: { into, pieces: movedPieces } },
      ]);
      onDone();
    });
  return html`<div><p>Keep it wet on the way. The other bag stays in the same place,
      and its time counts from when this one was closed.</p>
    ${contents.pieces.map(
      (p) => html`<${Stepper} key=${p.piece} label=${`Of ${p.words}: ${p.count} in this bag`}
        value=${counts[p.piece] || '0'} min=${0} max=${p.count} lessLabel="one less" moreLabel="one more"
        onChange=${(n) => setCounts({ ...counts, [p.piece]: n })} />`,
    )}
    ${
      bag.blanks &&
      html`<${BlankPicker} batch=${bag.batch} free=${bag.blanks} hasLetters=${bag.blanksLettered} onPick=${setBlank}
        nextNumber=${contents.next} />`
    }
    ${!contents.next && blank === '' && html`<p class="note">${contents.noNumberText}</p>`}
    <${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy || !number || !movedPieces.length} onClick=${save}>
      Close bag ${number} with it</button></div>`;
}
