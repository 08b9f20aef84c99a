// Labels to print: the core lays them out, as the command does. Numbers of blanks and
// of the tags of pieces are taken before anything is printed, so that no two labels
// ever show one.
import { Kind } from '../dist/constants.js';
import { call } from '../core/core.js';
import { effect } from '@preact/signals';
import { coreEnv } from '../journal/env.js';
import { hub } from '../sync/hub-state.js';
import { requestSync } from '../sync/sync-loop.js';
import { Fault } from '../core/fault.js';
import { downloadFile } from '../sync/hub-client.js';
import { previewFacts, record } from '../journal/journal.js';
import { saveFile } from '../device/save-file.js';
import { numbersNeeded } from '../sync/sync-round.js';
import { style } from '../device/settings.js';
import { loadState } from '../journal/states.js';
import { batchHistory } from '../journal/views.js';

const scopeOf = (batch) => `batch/${batch}`;

// layOutLabels gives {pages, paper, labels, omitted} of the labels that pick names (what, bags,
// prints, colours, copies) on paper (sheet, start, mono, cut, dpi). made is the batch
// where it is not as it stands.
export const layOutLabels = async (batch, pick, paper, made) =>
  call('labels.layOut', { ...pick, ...paper, state: made || (await loadState(scopeOf(batch))), env: await coreEnv() });

// draftPrinting gives the drafts of a printing of numbered blanks, or of tags where piece is
// said, with the next numbers of this phone.
async function draftPrinting(batch, { piece, subject, count }, sheet) {
  const runs = await call('blanks.draft', { state: await loadState(scopeOf(batch)), env: await coreEnv(), count });
  return runs.map((run) => ({
    scope: scopeOf(batch),
    subject: piece || subject,
    kind: piece ? Kind.pieceTagged : Kind.blanksPrinted,
    body: { ...run, sheet },
  }));
}

// numbersLeft says how many numbers of its own this phone has, which bear no letter.
export const numbersLeft = async (batch) =>
  call('numbers.count', { state: await loadState(scopeOf(batch)), env: await coreEnv() });

// previewPrinting lays out what takeNumbers would print, and takes nothing. It asks the hub for
// numbers where this phone has too few of those without a letter; runs are those
// that it has.
export async function previewPrinting(batch, order, paper) {
  numbersNeeded[batch] = order.count;
  const drafts = await draftPrinting(batch, order, paper.sheet).catch((fault) => {
    requestSync();
    throw fault;
  });
  const { facts, state: made } = await previewFacts(batch, drafts);
  const runs = drafts.map((d) => d.body);
  if (runs.some((r) => r.letter)) requestSync();
  return { ...(await layOutLabels(batch, { what: order.what, prints: facts.map((f) => f.id) }, paper, made)), runs };
}

// releaseNumbers says that no more numbers are wanted than the hub gives by itself.
export const releaseNumbers = (batch) => {
  delete numbersNeeded[batch];
};

// takeNumbers takes the numbers for good, records the printing, and gives its facts.
export function takeNumbers(batch, order, sheet) {
  releaseNumbers(batch);
  return record(() => draftPrinting(batch, order, sheet));
}

// listPrintings lists what was printed before it had a bag: {ids, when, from, to, what,
// count, tied}, the last first.
export async function listPrintings(batch, what) {
  const kind = what === 'tags' ? Kind.pieceTagged : Kind.blanksPrinted;
  const blanks = await call('blanks.view', {
    state: await loadState(scopeOf(batch)),
    env: await coreEnv(),
    tags: what === 'tags',
  });
  const lines = (await batchHistory(batch)).filter((l) => l.kind === kind && !l.withdrawn);
  return lines
    .map(({ fact, when, at }) => ({ fact, when, at, of: blanks.filter((b) => b.print === fact) }))
    .filter((p) => p.of.length)
    .sort((a, b) => b.at - a.at)
    .map(({ fact, when, of }) => ({
      id: fact,
      when,
      from: of[0].number,
      to: of[of.length - 1].number,
      what: of[0].what,
      count: of.length,
      tied: of.filter((b) => b.bag).length,
    }));
}

// recordPrinted records that labels of bags were printed; those of anything else leave
// nothing to record.
export function recordPrinted(batch, labels, sheet, undo) {
  const drafts = labels
    .filter((l) => l.bag)
    .map((l) => ({
      scope: scopeOf(batch),
      subject: l.bag,
      kind: Kind.bagPrinted,
      body: { code: l.code, ready: l.ready || 0, sheet },
    }));
  return drafts.length ? record(drafts, { undo }) : [];
}

// saveLabelsPdf gets the same labels from the hub as a PDF and hands them to the person. It
// says whether they were taken.
export async function saveLabelsPdf(
  batch,
  { what, bags = [], prints = [], colours = [], copies = 0 },
  { sheet, start, mono, cut, dpi },
) {
  await waitUntilSynced();
  const s = style.value,
    yes = { mono, cut, us: s.system === 'us', comma: s.comma, clock12: s.clock12 };
  const query = new URLSearchParams({
    batch,
    what,
    sheet,
    start,
    bags: String(bags),
    prints: String(prints),
    colours: String(colours),
    copies: String(copies),
    dpi,
  });
  for (const key in yes) if (yes[key]) query.set(key, '1');
  return saveFile(new File([await downloadFile(`sheet?${query}`)], 'labels.pdf', { type: 'application/pdf' }));
}

// waitUntilSynced waits until the hub has what this phone wrote.
function waitUntilSynced() {
  requestSync();
  return new Promise((resolve, reject) => {
    const late = setTimeout(
      () =>
        done(
          reject,
          new Fault({
            code: 'unavailable',
            sentence: 'the hub does not have these labels yet',
            hint: 'print them instead: the print dialog can save a PDF too',
          }),
        ),
      8000,
    );
    const stop = effect(() => {
      if (hub.value.ok && !hub.value.waiting) queueMicrotask(() => done(resolve));
    });
    const done = (end, value) => {
      clearTimeout(late);
      stop();
      end(value);
    };
  });
}
