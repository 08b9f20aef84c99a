// What is filled in about the bag that is closed next. It begins as the plan has it; what the person changed comes
// back after a reload.
import { Kind } from '../dist/constants.js';
import { closeBag, record } from '../journal/journal.js';
import { isHelper } from '../sync/hub-state.js';
import { useAction, useUnsaved } from './data-hooks.js';
import { useTemperature } from './temperature-field.js';
import { useWhen } from './when-picker.js';
/** @import { ColourInBag, BagView, FactDraft, QueueItem } from '../dist/calls.d.ts' */

const maxAlike = 5; // bags that are closed alike by one tap

/**
 * readingDraft is a temperature that a person read where the bag is put.
 * @returns {FactDraft}
 */
const readingDraft = (place, celsius, typed, at) => ({
  scope: `place/${place}`,
  subject: place,
  kind: Kind.placeRead,
  body: { celsius, typed: { celsius: typed } },
  ...(at && { at }),
});

/** sameColours says whether two lists name the same colours with the same shares. */
const sameColours = (a, b) =>
  a.length === b.length && a.every((x) => b.some((y) => y.colour === x.colour && y.share === x.share));

/**
 * Changes are what differs from the plan: counts by piece, colours with their shares, parts by colour as the person
 * set them, the place, the blank label.
 * @typedef {{pieces?: Record<string, number>, parts?: ColourInBag[], weights?: Record<string, number>, place?: string,
 *   blank?: string | null}} Changes
 */

/** weightsOf returns whole parts by colour for shares: one each where all are alike. */
function weightsOf(parts) {
  const isEven = parts.every((p) => Math.abs(p.share - parts[0].share) < 0.01);
  return Object.fromEntries(parts.map((p) => [p.colour, isEven ? 1 : Math.max(1, Math.round(p.share * 10))]));
}

/** settersOf returns the functions that change what goes into the bag. */
const settersOf = (set, pieces, parts, weights) => ({
  setPiece: (id) => set({ pieces: { [id]: 1 }, parts: undefined, weights: undefined }),
  setCount: (id, n) => {
    const { [id]: had, ...rest } = pieces;
    set({ pieces: n > 0 ? { ...pieces, [id]: n } : rest });
  },
  toggleColour: (id) => {
    const others = parts.filter((p) => p.colour !== id);
    const next = others.length < parts.length ? others : [...parts, { colour: id, share: 0 }];
    set({ parts: next.map((p) => ({ ...p, share: 0 })), weights: undefined }); // the core shares them evenly
  },
  partsOf: ({ colour }) => String(weights[colour]),
  setParts: (colour, text) => {
    const next = { ...weights, [colour]: Math.max(1, Number(text) || 1) };
    const sum = Object.values(next).reduce((a, b) => a + b, 0);
    set({ weights: next, parts: parts.map((p) => ({ colour: p.colour, share: next[p.colour] / sum })) });
  },
  setPlace: (id) => set({ place: id }),
  setBlank: (text) => set({ blank: text || (text === null ? null : undefined) }),
});

/** useBagContents holds what goes into the bag, where it stands and its label: the plan, with what was changed. */
function useBagContents(batch, places) {
  const [changes, setChanges] = useUnsaved(`bagging.${batch.id}`, /** @type {Changes} */ ({}));
  const set = (some) => setChanges({ ...changes, ...some });
  const plan = batch.closing;
  const isInQueue = (id) => batch.queue.some((q) => q.piece === id);
  const kept = Object.entries(changes.pieces ?? {}).filter(([id]) => isInQueue(id)); // it may be in a bag by now
  const pieces = changes.pieces && (kept.length || !plan) ? Object.fromEntries(kept) : plan ? { [plan.piece]: 1 } : {};
  /** @type {QueueItem | undefined} */
  const item = batch.queue.find((q) => q.piece === Object.keys(pieces)[0]);
  /** @type {ColourInBag[]} */
  const parts = changes.parts ?? item?.shares ?? [];
  const weights = changes.weights ?? weightsOf(parts);
  const isKnown = (id) => id !== undefined && (id === '' || places.some((p) => p.id === id));
  /** @type {string | null} */
  const place = [changes.place, plan?.place].find(isKnown) ?? null; // none is chosen by itself
  const blank = changes.blank === undefined ? plan?.blank || '' : changes.blank;
  const number = blank === null ? '' : blank || batch.next?.text || '';
  const reset = () => setChanges(undefined);
  return { pieces, item, parts, place, blank, number, set, reset, ...settersOf(set, pieces, parts, weights) };
}

/** sameAsLast returns the bag that this phone closed last, whether the form equals it, and what makes it so. */
function sameAsLast(batch, contents) {
  /** @type {BagView | undefined} */
  const last = batch.bags.find((b) => b.id === batch.closing?.last);
  const pieces = (last?.holds || []).filter((p) => batch.queue.some((q) => q.piece === p.piece));
  if (!last || !pieces.length) return {};
  const parts = last.colours.map((c) => ({ colour: c.id, share: c.share || 0 }));
  const isAsLast =
    contents.place === (last.place || '') &&
    contents.item?.piece === pieces[0].piece &&
    sameColours(contents.parts, parts);
  const setAsLast = () =>
    contents.set({
      pieces: Object.fromEntries(pieces.map((p) => [p.piece, p.count])),
      parts,
      weights: undefined,
      place: last.place || '',
    });
  return { last, isAsLast, setAsLast };
}

/** useBagForm holds the bag that is closed next, and returns save, which closes it, or several alike. */
export function useBagForm(batch, places, onClosed) {
  const contents = useBagContents(batch, places);
  const { pieces, item, parts, place, blank, number } = contents;
  const placeView = places.find((p) => p.id === place);
  const temperature = useTemperature(placeView?.celsius);
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const counts = Object.entries(pieces);
  const alike = counts.length === 1 && counts[0][1] === 1 && item ? Math.min(maxAlike, item.left) : 1;
  const save = ({ count = 1, blank: scanned = blank } = {}) =>
    run(async (sure) => {
      // A temperature that nobody set now, nor read lately, is not recorded: the core goes
      // by the place's older readings, or assumes one, and says so.
      const isFresh = placeView?.celsius !== undefined && !placeView.old;
      const celsius = temperature.touched || isFresh ? await temperature.read() : undefined;
      const at = await when.read();
      const isReading = place && temperature.touched && !isHelper.value && celsius !== undefined;
      const readings = isReading ? [readingDraft(place, celsius, temperature.typed, at)] : [];
      const bag = {
        pieces: counts.map(([piece, n]) => ({ piece, count: n })),
        colours: parts,
        place: place || '',
        celsius,
        fold: item?.fold || '',
        blank: scanned || '',
        ...(at && { at }),
      };
      const [fact] = await closeBag(batch.id, bag, readings, { count, sure });
      contents.reset();
      when.reset();
      temperature.reset();
      onClosed(fact.subject);
      scrollTo(0, 0);
    });
  const taken = { scope: `batch/${batch.id}`, subject: item?.piece, kind: Kind.pieceTaken, body: { count: 1 } };
  return {
    ...contents,
    ...sameAsLast(batch, contents),
    queue: batch.queue,
    colours: batch.colours,
    placeView,
    temperature,
    when,
    fault,
    alike,
    save,
    take: () => run(() => record([taken], { undo: 'Taken: it shows on every phone' })),
    canSave: !busy && counts.length > 0 && parts.length > 0 && Boolean(number),
  };
}
