// The designs that were saved, and the results of pieces dyed by one.
import { Kind } from '../dist/constants.js';
import { call } from '../core/core.js';
import { hasCode } from '../core/fault.js';
import { style } from '../device/settings.js';
import { factsById, factsOfScope } from '../journal/facts.js';
import { loadState } from '../journal/states.js';
import { record, withdrawFacts } from '../journal/journal.js';
import { callExtra } from '../core/extra.js';
import { isHelper } from '../sync/hub-state.js';

const scope = 'designs';
const emptyState = { designs: [], results: [] };

// loadDesigns returns {designs, results}: the designs, the newest first, and how pieces came out.
export async function loadDesigns() {
  try {
    return await loadState(scope);
  } catch (err) {
    if (hasCode(err, 'not-found')) return emptyState;
    throw err;
  }
}

// saveDesign saves a design, under the id of the design that it replaces, and returns its id.
export async function saveDesign(design, id) {
  const { code } = await callExtra('fold.encode', design);
  const body = { name: design.name, code };
  const [fact] = await record([{ scope, subject: id, kind: Kind.designKept, body }], { undo: `${design.name} saved` });
  return fact.subject;
}

export const removeDesign = (design) => withdrawFacts([design.fact]);

// recordResult records how much of a piece stayed white, as a share of its cloth.
export async function recordResult(design, id, whiteShare) {
  const { effect } = await callExtra('fold.effect', { design, white: whiteShare });
  const body = { fold: design.fold.kind, white_share: whiteShare, effect };
  await record([{ scope, subject: id, kind: Kind.designTried, body }], { undo: 'Result recorded' });
}

/**
 * ratedDesign returns the drafts that tell the fold what the rating of a bag says: how much of a piece of a design
 * stayed white, or that an earlier rating no longer counts. It returns none where the bag's pieces have no design
 * or more than one, nor on a helper's phone, which has no designs.
 * @param {string} batch
 * @param {string} bag
 * @param {number} [whiteShare] of the cloth; none where the rating was taken off
 */
export async function ratedDesign(batch, bag, whiteShare) {
  const code = isHelper.value ? '' : await designOfBag(batch, bag);
  if (!code) return [];
  if (whiteShare === undefined) {
    const { results } = await loadDesigns();
    const counted = results.filter((r) => r.bag === bag);
    return counted.map((r) => ({ scope, subject: '', kind: Kind.factWithdrawn, body: { target: r.fact } }));
  }
  const design = await callExtra('fold.decode', { code });
  const { effect } = await callExtra('fold.effect', { design, white: whiteShare });
  const body = { fold: design.fold.kind, white_share: whiteShare, effect, bag };
  return [{ scope, kind: Kind.designTried, body }];
}

/**
 * withDesignResults adds to the ids of facts those that were recorded together with a rating among them and tell the
 * fold of it, so that both are undone and restored together.
 * @param {string[]} ids
 */
export async function withDesignResults(ids) {
  const ratings = (await factsById(ids)).filter((f) => f.kind === Kind.resultRated);
  if (!ratings.length) return ids;
  const facts = await factsOfScope(scope);
  const bagOf = (f) => f.body.bag || facts.find((x) => x.id === f.body.target)?.body.bag;
  const isPartOf = (f, rating) => f.device === rating.device && f.at === rating.at && bagOf(f) === rating.subject;
  return [...ids, ...facts.filter((f) => ratings.some((rating) => isPartOf(f, rating))).map((f) => f.id)];
}

/** designOfBag returns the code of the design that all pieces of a bag were dyed by, or none. */
async function designOfBag(batch, id) {
  const state = await loadState(`batch/${batch}`);
  const bag = state.bags.find((b) => b.id === id);
  const codes = new Set(bag?.pieces.map((c) => state.pieces.find((p) => p.id === c.piece)?.design?.code));
  return codes.size === 1 ? [...codes][0] : '';
}

// chooseForPiece records that pieces of a batch are folded and dyed by a design. Its colours are those of
// the batch with the same names; colours that the batch lacks join it, and their names are given.
export async function chooseForPiece(design, { batch, piece, results, label }) {
  const report = await callExtra('fold.report', { design, results, style: style.value, size: 0 });
  const { code } = await callExtra('fold.encode', design);
  const usedColours = design.colours.filter((c) => report.steps.some((s) => s.colour === c.name));
  const missing = usedColours.filter((c) => !batch.colours.some((have) => have.name === c.name));
  const added = await draftColours(batch, missing);
  const idOf = (name) =>
    [...batch.colours, ...added.map((d) => ({ id: d.subject, ...d.body }))].find((c) => c.name === name).id;
  const steps = report.steps.map((s) => ({ side: s.on, section: s.section, colour: idOf(s.colour), ml: s.ml }));
  const body = { name: design.name, code, fold: label, steps };
  const chosen = { scope: `batch/${batch.id}`, subject: piece, kind: Kind.pieceDesigned, body };
  // The plan goes by the colours that pieces wear, with their shares.
  const total = steps.reduce((sum, s) => sum + s.ml, 0);
  const shareOf = (id) => steps.reduce((sum, s) => sum + (s.colour === id ? s.ml : 0), 0) / total;
  const colours = [...new Set(steps.map((s) => s.colour))].map((colour) => ({ colour, share: shareOf(colour) }));
  const wornFact = {
    scope: `batch/${batch.id}`,
    subject: piece,
    kind: Kind.pieceChanged,
    body: { fold: label, colours },
  };
  await record([...added, chosen, ...(total > 0 ? [wornFact] : [])], { undo: `${design.name} chosen` });
  return missing.map((c) => c.name);
}

// draftColours returns the facts of colours that join a batch, each with the class and strength of
// the preset of its name, or the commonest.
async function draftColours(batch, missing) {
  if (!missing.length) return [];
  const { colours: presets } = await call('choices');
  const ids = await call('id.new', { n: missing.length });
  const usedCaps = batch.colours.map((c) => c.caps);
  const drafts = [];
  for (const [i, { name, rgb, dye }] of missing.entries()) {
    const preset = presets.find((p) => p.name === name) || presets[0];
    const { caps } = await call('caps.choose', { name, taken: usedCaps });
    usedCaps.push(caps);
    const kind = { class: preset.class, strength: preset.gPerL, depth: 1, ...(dye && { generic: dye }) };
    drafts.push({
      scope: `batch/${batch.id}`,
      subject: ids[i],
      kind: Kind.colourChosen,
      body: { name, caps, rgb, ...kind },
    });
  }
  return drafts;
}
