// What the screens show, asked of the core now. Each gives a view as package
// batch has it (internal/batch/view.go), or throws a Fault.
import { call } from '../core/core.js';
import { notTaken, ofScope } from './facts.js';
import { names } from './house.js';
import { batches, finished, places, state } from './states.js';
import { env } from './env.js';

export const batchView = async (id) => call('batch.look', { state: await state(`batch/${id}`), env: await env() });
export const bagView = async (batch, bag) =>
  call('batch.bag', { state: await state(`batch/${batch}`), bag, env: await env() });
export const todayView = async () => call('batch.today', { states: await batches(), env: await env() });
export const placeView = async (id) => call('place.look', { place: await state(`place/${id}`), env: await env() });
export const placeHistory = async (id) =>
  call('batch.history', { facts: await ofScope(`place/${id}`), env: await env() });

// history gives the lines of a batch's history; mine says that this phone wrote it.
export async function history(id) {
  const e = { ...(await env()), names: await names() };
  const lines = await call('batch.history', { facts: await ofScope(`batch/${id}`), env: e });
  return lines.map((l) => ({ ...l, mine: l.device === e.device }));
}

// briefs gives the batches as lines of a list: the open ones, then those finished,
// the newest first.
export async function briefs() {
  const [open, done] = [await call('batch.brief', { states: await batches(), env: await env() }), await finished()];
  return [...open, ...done.sort((a, b) => b.started - a.started)];
}

// placeViews gives all places by name.
export async function placeViews() {
  const e = await env();
  const views = await Promise.all(Object.values(await places()).map((place) => call('place.look', { place, env: e })));
  return views.sort((a, b) => a.name.localeCompare(b.name));
}

// sum runs a calculator.
export async function sum(name, inputs) {
  const { now, zone, style } = await env();
  return call('calc.run', { name, inputs, env: { now, zone, style } });
}

// refusals gives what the hub would not take as lines of a history, each with why.
export async function refusals() {
  const rows = await notTaken();
  const why = new Map(rows.map((r) => [r.fact.id, r.sentence]));
  const lines = await call('batch.history', { facts: rows.map((r) => r.fact), env: await env() });
  return lines.map((l) => ({ ...l, why: why.get(l.fact) }));
}
