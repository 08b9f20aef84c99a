// Labels to print. The core lays them out, as it does for the command. Numbers of blanks and of
// piece tags are reserved before anything is printed, so that no two labels show the same number.
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

// layOutLabels returns {pages, paper, labels, omitted} for the labels in selection (what, bags,
// prints, colours, copies) on paper (sheet, start, mono, cut, dpi). previewState is a state of the
// batch to use instead of the recorded one.
export const layOutLabels = async (batch, selection, paper, previewState) =>
  call('labels.layOut', {
    ...selection,
    ...paper,
    state: previewState || (await loadState(scopeOf(batch))),
    env: await coreEnv(),
  });

// draftPrinting returns the drafts for printing numbered blanks, or tags if piece is given, with the
// next numbers of this phone.
async function draftPrinting(batch, { piece, subject, count }, sheet) {
  const runs = await call('blanks.draft', { state: await loadState(scopeOf(batch)), env: await coreEnv(), count });
  return runs.map((run) => ({
    scope: scopeOf(batch),
    subject: piece || subject,
    kind: piece ? Kind.pieceTagged : Kind.blanksPrinted,
    body: { ...run, sheet },
  }));
}

// countOwnNumbers counts the numbers without a letter that this phone has left.
export const countOwnNumbers = async (batch) =>
  call('numbers.count', { state: await loadState(scopeOf(batch)), env: await coreEnv() });

// previewPrinting lays out what reserveNumbers would print, and reserves nothing. If this phone has
// too few numbers without a letter, it asks the hub for more; runs are the ranges that it has.
export async function previewPrinting(batch, order, paper) {
  numbersNeeded[batch] = order.count;
  const drafts = await draftPrinting(batch, order, paper.sheet).catch((fault) => {
    requestSync();
    throw fault;
  });
  const { facts, state: previewState } = await previewFacts(batch, drafts);
  const runs = drafts.map((d) => d.body);
  if (runs.some((r) => r.letter)) requestSync();
  return {
    ...(await layOutLabels(batch, { what: order.what, prints: facts.map((f) => f.id) }, paper, previewState)),
    runs,
  };
}

// clearNumberRequest goes back to the usual amount of numbers that the hub gives.
export const clearNumberRequest = (batch) => {
  delete numbersNeeded[batch];
};

// reserveNumbers reserves the numbers for good by recording the printing, and returns its facts.
export function reserveNumbers(batch, order, sheet) {
  clearNumberRequest(batch);
  return record(() => draftPrinting(batch, order, sheet));
}

// listPrintings lists the earlier printings of blanks or tags, the latest first: {id, when, from,
// to, what, count, attachedCount}.
export async function listPrintings(batch, what) {
  const kind = what === 'tags' ? Kind.pieceTagged : Kind.blanksPrinted;
  const blanks = await call('blanks.view', {
    state: await loadState(scopeOf(batch)),
    env: await coreEnv(),
    tags: what === 'tags',
  });
  const lines = (await batchHistory(batch)).filter((l) => l.kind === kind && !l.withdrawn);
  return lines
    .map(({ fact, when, at }) => ({ fact, when, at, blanks: blanks.filter((b) => b.print === fact) }))
    .filter((p) => p.blanks.length)
    .sort((a, b) => b.at - a.at)
    .map(({ fact, when, blanks }) => ({
      id: fact,
      when,
      from: blanks[0].number,
      to: blanks[blanks.length - 1].number,
      what: blanks[0].what,
      count: blanks.length,
      attachedCount: blanks.filter((b) => b.bag).length,
    }));
}

// recordPrinted records that labels of bags were printed; printing other labels is not recorded.
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

// saveLabelsPdf gets the same labels from the hub as a PDF and saves them for the person. It says
// whether they were saved.
export async function saveLabelsPdf(
  batch,
  { what, bags = [], prints = [], colours = [], copies = 0 },
  { sheet, start, mono, cut, dpi },
) {
  await waitUntilSynced();
  const flags = { mono, cut, ...styleFlags() };
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
  for (const key in flags) if (flags[key]) query.set(key, '1');
  return saveFile(new File([await downloadFile(`sheet?${query}`)], 'labels.pdf', { type: 'application/pdf' }));
}

// styleFlags says in a query how this phone displays numbers.
const styleFlags = () => ({ us: style.value.system === 'us', comma: style.value.comma, clock12: style.value.clock12 });

// saveBatchSheetPdf gets the sheet of a batch from the hub as a PDF and saves it for the person. It says whether
// it was saved.
export async function saveBatchSheetPdf(batch, paper) {
  await waitUntilSynced();
  const query = new URLSearchParams({ what: 'batch', batch, paper });
  for (const [key, isSet] of Object.entries(styleFlags())) if (isSet) query.set(key, '1');
  return saveFile(new File([await downloadFile(`sheet?${query}`)], 'batch.pdf', { type: 'application/pdf' }));
}

// waitUntilSynced waits until the hub has what this phone wrote.
function waitUntilSynced() {
  requestSync();
  return new Promise((resolve, reject) => {
    const timer = setTimeout(
      () =>
        done(
          reject,
          new Fault({
            code: 'unavailable',
            sentence: 'the hub does not have all of this yet',
            hint: 'print them instead: the print dialog can save a PDF too',
          }),
        ),
      8000,
    );
    const stop = effect(() => {
      if (hub.value.isReached && !hub.value.unsentCount) queueMicrotask(() => done(resolve));
    });
    const done = (settle, value) => {
      clearTimeout(timer);
      stop();
      settle(value);
    };
  });
}
