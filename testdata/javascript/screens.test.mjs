// What a person sees on a screen, and what happens when they type and tap, without a browser.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { afterEach, beforeEach, test } from 'node:test';
import { appFolder, loadModule } from './app.mjs';
import './core.mjs';
import { fakeStorage } from './fake-storage.mjs';
import { showScreen, spaced } from './fake-page.mjs';

const storage = fakeStorage({ flushAtOnce: true });
globalThis.indexedDB = storage.indexedDB;
const { call } = await loadModule('/core/core.js');
const { callExtra } = await loadModule('/core/extra.js');
const { closeBag, record } = await loadModule('/journal/journal.js');
const { meta } = await loadModule('/journal/db.js');
const { addBag } = await loadModule('/scan/shelf-check.js');
const { bagView } = await loadModule('/journal/views.js');
const { coreEnv } = await loadModule('/journal/env.js');
const { loadState, refreshStates } = await loadModule('/journal/states.js');
const { reserveNumbers } = await loadModule('/labels/labels.js');
const { hub } = await loadModule('/sync/hub-state.js');
const { passPrintOrder } = await loadModule('/parts/screen-handoff.js');
const { Kind } = await loadModule('/dist/constants.js');
await meta.set({ letter: 'B' });

const atStart = hub.value;
let screen = null;

async function show(path, name, props) {
  const module = await loadModule(path);
  screen = await showScreen(module[name], props);
  return screen;
}

beforeEach(() => {
  hub.value = atStart;
});
afterEach(() => screen?.remove());

// recordBatch records a batch with towels and so many colours, and returns their ids.
async function recordBatch(count) {
  const [id, secret, piece, ...colours] = await call('id.new', { n: 3 + count });
  const scope = `batch/${id}`;
  const dye = { class: 'dichlorotriazine', strength: 40, depth: 1 };
  await record([
    { scope, subject: id, kind: Kind.batchStarted, body: { name: 'Tea towels', secret } },
    { scope, subject: piece, kind: Kind.pieceAdded, body: { kind: 'towel', count: 8, grams: 60 } },
    ...colours.map((subject, i) => ({
      scope,
      subject,
      kind: Kind.colourChosen,
      body: {
        ...dye,
        ...[
          { name: 'rust', caps: 'RU', rgb: '#a04020' },
          { name: 'sea', caps: 'SE', rgb: '#2060a0' },
        ][i],
      },
    })),
  ]);
  return { id, scope, piece, colours };
}

// recordBags closes so many bags of it, closed by hours ago.
async function recordBags(batch, count, hours = 0) {
  const bag = { pieces: [{ piece: batch.piece, count: 1 }], colours: [{ colour: batch.colours[0] }] };
  const bags = [];
  for (let i = 0; i < count; i++) {
    const [fact] = await closeBag(batch.id, { ...bag, ...(hours && { at: Date.now() - hours * 3600e3 }) });
    bags.push(fact.subject);
  }
  return bags;
}

test('a phone whose name is not known yet is listed too, and a removed one is marked', async () => {
  const [kitchen, nameless, old] = await call('id.new', { n: 3 });
  const house = (subject, kind, body) => ({ scope: 'house', subject, kind, body });
  const facts = await record([
    house(nameless, Kind.deviceRevoked, {}),
    house(kitchen, Kind.deviceJoined, { name: 'Kitchen', letter: 'A' }),
    house(old, Kind.deviceJoined, { name: 'Old phone', letter: 'C' }),
    house(old, Kind.deviceRevoked, {}),
  ]);
  hub.value = { ...atStart, role: 'owner' };
  const s = await show('/screens/phones.js', 'Phones');
  await s.waitFor('list', () => s.classed('link-row').length === 3);
  assert.deepEqual(s.classed('link-row').map(spaced), [
    'Kitchenletter A',
    'a phone without a nameremoved',
    'Old phoneremoved · letter C',
  ]);
  assert.deepEqual(s.classed('struck-out').length, 2);
  assert.equal(facts.length, 4);
});

async function showSum(name) {
  const s = await show('/screens/sum.js', 'Sum', { name });
  await s.waitFor('form', () => s.all('input').length > 0);
  return s;
}

test('a calculator says how it works, and a fault is shown at its field only', async () => {
  const s = await showSum('shade');
  const [shade] = (await callExtra('calc.list', {})).filter((e) => e.name === 'shade');
  assert.ok(s.text().includes(shade.formula), 'no formula');
  assert.ok(s.text().includes('The answer appears as you fill in the form.'));
  const field = (label) =>
    s.all('div').find((d) => d.getAttribute('class') === 'field' && d.textContent.startsWith(label));
  const type = async (label, value) => {
    const input = field(label).childNodes.find((n) => n.localName === 'input');
    await input.send('input', { value });
  };
  await type('Depth or strength', '2 %');
  await type('Cloth', '1 kg');
  await s.waitFor('answer', () => /Dye powder ?20 g/.test(s.text()));
  await type('Cloth', 'a shirt');
  const alerts = () => [...s.all('p'), ...s.all('div')].filter((n) => n.getAttribute('role') === 'alert');
  await s.waitFor('fault', () => alerts().length > 0);
  assert.equal(alerts().length, 1, 'one fault is said once');
  assert.ok(field('Cloth').contains(alerts()[0]), 'not at its field');
  assert.equal(s.classed('stale').length, 2, 'the last answer, above and below the fields, is marked as old');
  await type('Cloth', '1 kg');
  await s.waitFor('answer again', () => alerts().length === 0 && s.classed('stale').length === 0);
});

for (const [code, atField] of [
  ['refused', true],
  ['unavailable', false],
]) {
  test(`a code that fails as ${code} is said ${atField ? 'at the code' : 'at the top'}, once`, async () => {
    const fault = { code, sentence: 'an invented refusal' };
    globalThis.fetch = async () => new Response(JSON.stringify({ error: fault }), { status: 403 });
    const s = await show('/screens/join.js', 'Join');
    const [typed, name] = s.all('input');
    await typed.send('input', { value: '1234 5678' });
    await name.send('input', { value: 'Kitchen' });
    await s.all('form')[0].send('submit');
    await s.waitFor('fault', () => s.text().includes('An invented refusal'));
    assert.equal(s.text().split('An invented refusal').length, 2);
    assert.equal(typed.getAttribute('aria-invalid'), atField ? 'true' : null);
    assert.equal(s.classed('fault').length, atField ? 0 : 1);
  });
}

for (const [code, addresses] of [
  ['12345678', ['/join']],
  ['', []],
]) {
  test(`a code ${code ? 'that came in the address is taken out of it' : 'that was typed changes no address'}`, async (t) => {
    const went = [];
    t.mock.method(history, 'replaceState', (_, __, path) => went.push(path));
    globalThis.fetch = async () => new Response(JSON.stringify({ you: { role: 'owner' }, letter: 'B' }));
    const s = await show('/screens/join.js', 'Join', { code });
    const [typed, name] = s.all('input');
    if (!code) await typed.send('input', { value: '1234 5678' });
    await name.send('input', { value: 'Kitchen' });
    await s.all('form')[0].send('submit');
    await s.waitFor('word that it is in', () => s.text().includes('This phone is paired'));
    assert.deepEqual(went, addresses);
  });
}

test('the main button says what is printed', async () => {
  const batch = await recordBatch(1);
  const main = async (order) => {
    screen?.remove();
    passPrintOrder(order);
    const s = await show('/screens/print-labels.js', 'PrintLabels', { id: batch.id });
    return await s.waitFor('what is laid out', () =>
      s
        .classed('button')
        .map(spaced)
        .find((words) => words !== 'Print'),
    );
  };
  const [first] = await recordBags(batch, 1);
  assert.equal(await main({ what: 'bags', bag: first }), 'Print the label');
  await recordBags(batch, 2);
  assert.equal(await main({ what: 'bags' }), 'Print 3 labels');
  assert.match(await main({ what: 'blanks' }), /^Print blanks 4B–\d+B$/);
  assert.equal(await main({ what: 'tags', piece: batch.piece }), 'Print tags 4B–11B');
});

test('with two jugs you can pick the other one, and each shows the letters of its colour', async () => {
  const one = await recordBatch(1);
  let s = await show('/screens/jugs.js', 'Jugs', { id: one.id });
  await s.waitFor('jug', () => s.text().includes('Jug 1 of 1'));
  assert.ok(!s.text().includes('All jugs'), 'one jug is no choice');
  s.remove();
  const two = await recordBatch(2);
  s = await show('/screens/jugs.js', 'Jugs', { id: two.id });
  await s.waitFor('way to the other jug', () => s.text().includes('All jugs'));
  const rows = s.classed('link-row').map(spaced);
  for (const caps of ['RU', 'SE'])
    assert.ok(
      rows.some((row) => row.includes(caps)),
      `no cloth with ${caps}: ${rows}`,
    );
});

test('the main button opens a curing bag early, and opens and rinses one that is ready', async () => {
  const batch = await recordBatch(1);
  const [fresh] = await recordBags(batch, 1);
  const [ready] = await recordBags(batch, 1, 60);
  const main = async (bag) => {
    screen?.remove();
    const s = await show('/screens/bag.js', 'Bag', { batch: batch.id, bag });
    return s.waitFor('main button', () => s.classed('actions')[0]?.childNodes[0]);
  };
  const early = await main(fresh);
  assert.deepEqual([spaced(early), early.getAttribute('class')], ['Open early', 'button secondary']);
  const due = await main(ready);
  assert.deepEqual([spaced(due), due.getAttribute('class')], ['Open and rinse', 'button']);
});

test('the shelf check shows the state as printed for a label alone, and no such state for a blank', async () => {
  const batch = await recordBatch(1);
  const [bag] = await recordBags(batch, 1);
  const { address } = await bagView(batch.id, bag);
  await reserveNumbers(batch.id, { subject: (await call('id.new', { n: 1 }))[0], count: 1 }, 'a4-70x37');
  const [blank] = await call('blanks.view', { state: await loadState(batch.scope), env: await coreEnv(), tags: false });
  for (const name of ['facts', 'heads', 'states']) storage.rows(name).clear(); // another phone scans
  await refreshStates();
  await addBag(address);
  await addBag(blank.address);
  const s = await show('/screens/shelf-check.js', 'ShelfCheck');
  const rows = await s.waitFor(
    'two rows',
    () => s.all('li').filter((li) => /^Bag /.test(spaced(li))).length === 2 && s.all('li'),
  );
  const of = (number) => spaced(rows.find((li) => spaced(li).startsWith(`Bag ${number}`)));
  assert.match(of('1B'), /Not yet.*as printed/);
  assert.match(of('2B'), /blank, on no bag here/);
  assert.doesNotMatch(of('2B'), /as printed/);
});

test('a colour looks paler with less dye, and that is what is recorded', async () => {
  const batch = await recordBatch(1);
  const preset = { name: 'rust', rgb: '#b5372a', strength: '40 g/L', class: 'dichlorotriazine' };
  const choices = await call('choices', {});
  let isDone = false;
  const done = () => {
    isDone = true;
  };
  const scope = `batch/${batch.id}`;
  const s = await show('/parts/colour-form.js', 'ColourForm', {
    scope,
    preset,
    others: [],
    choices,
    powders: [],
    done,
  });
  const cloth = () => s.all('path')[0].getAttribute('fill');
  const input = s.all('input').find((n) => n.getAttribute('placeholder') === '25 g/L or 2 %');
  const add = () => s.classed('button').find((n) => spaced(n) === 'Add rust');
  await s.waitFor('the strength to be read', () => s.text().includes('That is'));
  assert.equal(cloth(), '#b5372a');
  await input.send('input', { value: '4 g/L' });
  await s.waitFor('a paler swatch', () => cloth() !== '#b5372a');
  const green = (rgb) => Number.parseInt(rgb.slice(3, 5), 16);
  assert.ok(green(cloth()) > green('#b5372a') + 40, cloth());
  await input.send('input', { value: '40 g/L' });
  await s.waitFor('the look of before', () => cloth() === '#b5372a');
  await input.send('input', { value: '4 g/L' });
  await s.waitFor('a paler swatch again', () => cloth() !== '#b5372a');
  const shown = cloth();
  await add().send('click');
  await s.waitFor('the colour to be recorded', () => isDone);
  const state = await loadState(batch.scope);
  assert.ok(JSON.stringify(state).includes(shown), `${shown} is not in the batch`);
});

test('the frame that the page has before any script runs has the places of the navigation bar', async () => {
  const page = readFileSync(new URL('index.html', appFolder), 'utf8');
  const inPage = [...page.matchAll(/<a href="([^"]*)"><svg[^>]*><\/svg><span>([^<]*)/g)].map((m) => [m[1], m[2]]);
  const s = await show('/parts/nav-bar.js', 'NavBar', {});
  assert.deepEqual(
    inPage,
    s.all('a').map((a) => [a.getAttribute('href'), spaced(a)]),
  );
});

test('what Today said is there at the next start, before the core has answered', async () => {
  const batch = await recordBatch(1);
  await recordBags(batch, 1);
  const saved = {};
  globalThis.localStorage = { getItem: () => null, setItem: (key, text) => Object.assign(saved, { [key]: text }) };
  const s = await show('/screens/today.js', 'Today', {});
  await s.waitFor('the bag', () => s.classed('bag-number').length > 0);
  await s.waitFor('it to be saved', () => saved['last-today']);
  const { at, title, lines } = JSON.parse(saved['last-today']);
  assert.match(at, /[0-9]{1,2}[:.][0-9]{2}/);
  assert.ok(s.text().includes(title));
  assert.ok(
    lines.some((line) => /^Bag [0-9]+B, .+: /.test(line)),
    lines.join('; '),
  );
  delete globalThis.localStorage;
});
