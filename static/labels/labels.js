// Labels to print: the core lays them out, as the command does. Numbers of blanks and
// of the tags of pieces are taken before anything is printed, so that no two labels
// ever show one.
import { call } from '../core/core.js';
import { effect } from '@preact/signals';
import { env } from '../journal/env.js';
import { hub } from '../sync/hub-state.js';
import { kick } from '../sync/sync-loop.js';
import { Fault } from '../core/fault.js';
import { file } from '../sync/hub-client.js';
import { asIf, record } from '../journal/journal.js';
import { saveFile } from '../device/save-file.js';
import { need } from '../sync/sync-round.js';
import { style } from '../device/settings.js';
import { state } from '../journal/states.js';
import { history } from '../journal/views.js';

const scopeOf = (batch) => `batch/${batch}`;

// lay gives {pages, stock, labels, missing} of the labels that pick names (what, bags,
// prints, colours, copies) on paper (sheet, start, mono, cut, dpi). made is the batch
// where it is not as it stands.
export const lay = async (batch, pick, paper, made) =>
  call('labels.lay', { ...pick, ...paper, state: made || (await state(scopeOf(batch))), env: await env() });

// draft gives the drafts of a printing of numbered blanks, or of tags where piece is
// said, with the next numbers of this phone.
async function draft(batch, { piece, subject, count }, sheet) {
  const runs = await call('blanks.draft', { state: await state(scopeOf(batch)), env: await env(), count });
  return runs.map((run) => ({
    scope: scopeOf(batch),
    subject: piece || subject,
    kind: piece ? 'piece.tagged' : 'blanks.printed',
    body: { ...run, sheet },
  }));
}

// left says how many numbers of its own this phone has, which bear no letter.
export const left = async (batch) => call('blanks.left', { state: await state(scopeOf(batch)), env: await env() });

// preview lays out what take would print, and takes nothing. It asks the hub for
// numbers where this phone has too few of those without a letter; runs are those
// that it has.
export async function preview(batch, order, paper) {
  need[batch] = order.count;
  const drafts = await draft(batch, order, paper.sheet).catch((fault) => {
    kick();
    throw fault;
  });
  const { facts, state: made } = await asIf(batch, drafts);
  const runs = drafts.map((d) => d.body);
  if (runs.some((r) => r.letter)) kick();
  return { ...(await lay(batch, { what: order.what, prints: facts.map((f) => f.id) }, paper, made)), runs };
}

// enough says that no more numbers are wanted than the hub gives by itself.
export const enough = (batch) => {
  delete need[batch];
};

// take takes the numbers for good, records the printing, and gives its facts.
export function take(batch, order, sheet) {
  enough(batch);
  return record(() => draft(batch, order, sheet));
}

// printings lists what was printed before it had a bag: {ids, when, from, to, what,
// count, tied}, the last first.
export async function printings(batch, what) {
  const kind = what === 'tags' ? 'piece.tagged' : 'blanks.printed';
  const blanks = await call('batch.blanks', {
    state: await state(scopeOf(batch)),
    env: await env(),
    tags: what === 'tags',
  });
  const lines = (await history(batch)).filter((l) => l.kind === kind && !l.withdrawn);
  return lines
    .map(({ fact, when, at }) => ({ fact, when, at, of: blanks.filter((b) => b.print === fact) }))
    .filter((p) => p.of.length)
    .sort((a, b) => b.at - a.at)
    .map(({ fact, when, of }) => ({
      id: fact,
      when,
      from: of[0].number,
      to: of.at(-1).number,
      what: of[0].what,
      count: of.length,
      tied: of.filter((b) => b.bag).length,
    }));
}

// printed records that labels of bags were printed; those of anything else leave
// nothing to record.
export function printed(batch, labels, sheet, undo) {
  const drafts = labels
    .filter((l) => l.bag)
    .map((l) => ({
      scope: scopeOf(batch),
      subject: l.bag,
      kind: 'bag.printed',
      body: { code: l.code, ready: l.ready || 0, sheet },
    }));
  return drafts.length ? record(drafts, { undo }) : [];
}

// savePdf gets the same labels from the hub as a PDF and hands them to the person. It
// says whether they were taken.
export async function savePdf(
  batch,
  { what, bags = [], prints = [], colours = [], copies = 0 },
  { sheet, start, mono, cut, dpi },
) {
  await caughtUp();
  const s = style.value,
    yes = { mono, cut, us: s.system === 'us', comma: s.comma, clock12: s.clock12 };
  const query = new URLSearchParams({ batch, what, sheet, start, bags, prints, colours, copies, dpi });
  for (const key in yes) if (yes[key]) query.set(key, 1);
  return saveFile(new File([await file(`sheet?${query}`)], 'labels.pdf', { type: 'application/pdf' }));
}

// caughtUp waits until the hub has what this phone wrote.
function caughtUp() {
  kick();
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
