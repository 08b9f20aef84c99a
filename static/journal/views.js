// The views that the screens show, computed by the core for this moment. Each returns a type of
// package batchview (internal/batchview/view.go), or throws a Fault.
import { Kind } from '../dist/constants.js';
import { call } from '../core/core.js';
import { callExtra } from '../core/extra.js';
import { refusedFacts, factsOfScope } from './facts.js';
import { phoneNames } from './house.js';
import { loadBatches, countFinished, finishedBriefs, loadPlaces, loadShelf, loadState } from './states.js';
import { coreEnv } from './env.js';

export const batchView = async (id) =>
  call('batch.view', { state: await loadState(`batch/${id}`), env: await namedEnv() });
// batchSheet returns the pages of a batch on paper, as a4 or letter: {pages, paper}.
export const batchSheet = async (id, paper) =>
  call('batch.sheet', {
    state: await loadState(`batch/${id}`),
    shelf: (await loadShelf()).shelf,
    paper,
    env: await coreEnv(),
  });
export const bagView = async (batch, bag) =>
  call('bag.view', { state: await loadState(`batch/${batch}`), bag, env: await coreEnv() });
// compareView compares two batches. One bag stands for each: the bag with the id, or the first that was opened.
export const compareView = async (a, b, bagA, bagB) =>
  call('batch.compare', {
    a: await loadState(`batch/${a}`),
    b: await loadState(`batch/${b}`),
    bagA,
    bagB,
    env: await coreEnv(),
  });
// resultsView finds results, and says what the dyer's own results say in the place of usual figures; tried are the
// results of designs.
export const resultsView = async (query, tried) =>
  call('results.find', { states: await loadBatches('all'), tried, query, env: await coreEnv() });

// repeatDrafts returns fact drafts for a batch that repeats another as it was actually dyed.
export async function repeatDrafts(id, pieces, ids) {
  const { shelf } = await loadShelf();
  const state = await loadState(`batch/${id}`);
  return call('batch.repeat', { state, pieces, ids, items: shelf.items, env: await coreEnv() });
}

export const resultView = async (batch, bag) =>
  call('result.view', { state: await loadState(`batch/${batch}`), bag, env: await coreEnv() });
export const whyView = async (batch, bag, faults) =>
  call('why.explain', { state: await loadState(`batch/${batch}`), bag, faults, env: await coreEnv() });
export const todayView = async () =>
  call('today.view', { states: await loadBatches(), finished: await countFinished(), env: await coreEnv() });
// washView plans a wash day for order: {tubML, machineG, place}.
export const washView = async (order) =>
  call('wash.view', { states: await loadBatches(), order, env: await coreEnv() });
// extremeTimes returns when the lowest and the highest temperature of last night and day were.
export const extremeTimes = async () => call('extremes.date', { env: await coreEnv() });
// makeCalendar makes the calendar file of order: {batch}, {batch, bag} or {place}.
export const makeCalendar = async (order) =>
  call('calendar.make', { states: await loadBatches(), order, env: await coreEnv() });
export const placeView = async (id) =>
  call('place.view', { place: await loadState(`place/${id}`), states: await loadBatches(), env: await coreEnv() });
export const placeHistory = async (id) =>
  call('batch.history', { facts: await factsOfScope(`place/${id}`), env: await coreEnv() });

// planView returns the plan of a batch; shelfView what is on the shelf, and what the open batches lack;
// stockView one thing on the shelf.
export const planView = async (id) =>
  call('plan.view', { state: await loadState(`batch/${id}`), ...(await loadShelf()), env: await coreEnv() });
// settleView returns what a batch takes off the shelf that was dyed as planned without being recorded.
export const settleView = async (id) =>
  call('plan.settle', { state: await loadState(`batch/${id}`), ...(await loadShelf()), env: await coreEnv() });
export const shelfView = async () =>
  call('shelf.view', { ...(await loadShelf()), open: await loadBatches(), env: await coreEnv() });
export const stockView = async (id) => call('stock.view', { ...(await loadShelf()), id, env: await coreEnv() });

// openPowder returns the batches in which dye powder is open: {batch, name, text}.
export async function openPowder() {
  const states = (await loadBatches()).filter((s) => s.powder);
  return states.length ? (await call('today.view', { states, env: await namedEnv() })).powder : [];
}

// namedEnv is the core's env with what the phones of the house are called.
const namedEnv = async () => ({ ...(await coreEnv()), names: await phoneNames() });

// batchHistory returns the lines of a batch's history; isOwn says that this phone wrote it.
export async function batchHistory(id, gather = true) {
  const env = await namedEnv();
  const facts = await factsOfScope(`batch/${id}`);
  if (facts.some((f) => f.kind === Kind.batchRepeated))
    for (const batch of await batchBriefs()) env.names[batch.id] = batch.name;
  const lines = await call('batch.history', { facts, env, gather });
  return lines.map((l) => ({ ...l, isOwn: l.device === env.device }));
}

// openBriefs returns the open batches as lines of a list, doneBriefs the finished ones, newest first.
export const openBriefs = async () => call('batches.list', { states: await loadBatches(), env: await coreEnv() });
export const doneBriefs = async () => (await finishedBriefs()).sort((a, b) => b.started - a.started);
export const batchBriefs = async () => [...(await openBriefs()), ...(await doneBriefs())];

// placeViews returns all places by name.
export async function placeViews() {
  const env = await coreEnv();
  const views = await Promise.all(Object.values(await loadPlaces()).map((place) => call('place.view', { place, env })));
  return views.sort((a, b) => a.name.localeCompare(b.name));
}

// runCalculator runs a calculator.
export async function runCalculator(name, inputs) {
  const { now, zone, style } = await coreEnv();
  return callExtra('calc.run', { name, inputs, env: { now, zone, style } });
}

// refusedLines returns the facts that the hub refused as history lines, each with the reason.
export async function refusedLines() {
  const rows = await refusedFacts();
  const reasons = new Map(rows.map((r) => [r.fact.id, r.sentence]));
  const lines = await call('batch.history', { facts: rows.map((r) => r.fact), env: await coreEnv() });
  return lines.map((l) => ({ ...l, reasons: reasons.get(l.fact) }));
}
