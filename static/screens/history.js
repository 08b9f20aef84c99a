// History: every fact of a batch in words. What people did can be undone and restored; what nobody undoes by hand
// (numbers given out, helpers who joined, clocks, what was undone) is listed below it.
import { html, classes, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { withDesignResults } from '../fold/designs.js';
import { Fault } from '../core/fault.js';
import { Kind } from '../dist/constants.js';
import { restoreFacts, withdrawFacts } from '../journal/journal.js';
import { batchHistory, batchView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { Chips } from '../parts/choice.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { ErrorBox } from '../parts/messages.js';
import { useLongList } from '../parts/long-list.js';
import { PhotoThumb } from '../parts/photos.js';
import { Screen } from '../parts/screen.js';

/** writerOf names who wrote a line; a helper's phone does not know the names of the house's phones. */
const writerOf = (line) => line.by || (isHelper.value && !line.byHub ? 'a phone of the house' : '');

/** listWriters returns the phones that wrote lines, by name, or none where it was one alone. */
function listWriters(lines) {
  const names = new Map(lines.filter((l) => !l.byHub).map((l) => [l.device, writerOf(l) || 'a phone without a name']));
  return names.size > 1 ? Array.from(names, ([value, words]) => ({ value, words })) : [];
}

/** isAct says whether a line is of what a person did with the batch. */
const isAct = (line) => !line.fixed || line.kind === Kind.batchStarted;

/** canUndo says whether this phone may withdraw a line: a helper only what it wrote. */
const canUndo = (line) => !line.fixed && (line.isOwn || !isHelper.value);

export function History({ id }) {
  const { value: batch, fault: batchFault } = useLiveData(() => batchView(id), [id]);
  const { value: lines, fault } = useLiveData(() => batchHistory(id), [id]);
  const [run, actionFault, busy] = useAction();
  const [device, setDevice] = useState(''); // whose lines are shown; all where it is empty
  const writers = listWriters(lines || []);
  const shown = (lines || []).filter((line) => !device || line.device === device);
  const acts = shown.filter(isAct);
  const others = shown.filter((line) => !isAct(line));
  const { count, rest } = useLongList(acts.length);
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="History"
    sub="Nothing is ever lost: you can restore whatever you undo." fault=${fault || batchFault || actionFault}>
    ${
      writers.length > 0 &&
      html`<${Chips} label="Recorded on" options=${writers} value=${device} onChange=${setDevice} />`
    }
    ${device && html`<${UndoAll} id=${id} device=${device} writer=${writers.find((w) => w.value === device)?.words} />`}
    <ol class="history">${acts
      .slice(0, count)
      .map((line) => html`<${HistoryLine} key=${line.fact} line=${line} run=${run} busy=${busy} />`)}</ol>
    ${rest}
    ${
      others.length > 0 &&
      html`<details><summary>Numbers, helpers, clocks, what was undone (${others.length})</summary>
        <ol class="history">${others.map((line) => html`<${HistoryLine} key=${line.fact} line=${line} />`)}</ol>
      </details>`
    }
  </${Screen}>`;
}

const manyEntries = 10; // more are undone only after a question

// What lets people in or keeps them out is undone line by line.
const accessKinds = /** @type {string[]} */ ([Kind.shareOpened, Kind.shareClosed, Kind.helperJoined]);

/** openUndos returns the lines of a phone that undid what another phone recorded, and which still hold. */
function openUndos(lines, device) {
  const byFact = new Map(lines.map((line) => [line.fact, line]));
  return lines.filter((line) => {
    const target = line.device === device && line.kind === Kind.factWithdrawn && byFact.get(line.target);
    return target && target.withdrawn && target.device !== device && !accessKinds.includes(target.kind);
  });
}

/** UndoAll undoes all that another phone recorded and still holds, also what it undid, or restores what was undone. */
function UndoAll({ id, device, writer }) {
  const { value: lines } = useLiveData(() => batchHistory(id, false), [id]);
  const [run, fault, busy] = useAction();
  const ofPhone = (lines || []).filter(
    (l) => l.device === device && !l.isOwn && canUndo(l) && !accessKinds.includes(l.kind),
  );
  const undone = ofPhone.filter((line) => line.withdrawn);
  const undos =
    isHelper.value || lines?.some((l) => l.device === device && l.isOwn) ? [] : openUndos(lines || [], device);
  const open = [...ofPhone.filter((line) => !line.withdrawn), ...undos];
  const renderButton = (list, words, work) => {
    const act = async (sure) => {
      if (!sure && list.length > manyEntries) throw manyFault(list.length, words, writer);
      await work(await withDesignResults(list.flatMap((line) => line.facts)));
    };
    return html`<button type="button" class="button secondary wide" disabled=${busy} onClick=${() => run(act)}>
      ${words} all ${list.length} entries from ${writer}</button>`;
  };
  return html`${open.length > 1 && renderButton(open, 'Undo', withdrawFacts)}
    ${undone.length > 1 && renderButton(undone, 'Restore', restoreFacts)}<${ErrorBox} fault=${fault} />`;
}

const manyFault = (count, words, writer) =>
  new Fault({
    code: 'unsure',
    sentence: `this is to ${words.toLowerCase()} ${count} entries from ${writer}`,
    hint: 'each of them stays in the history, and can be changed back there',
  });

function HistoryLine({ line, run, busy }) {
  const words = line.withdrawn ? 'Restore' : 'Undo';
  const lasts = line.fixed && isAct(line) && 'can be undone once nothing else in the batch holds';
  const details = [writerOf(line), line.when, line.withdrawn && 'undone', lasts];
  const change = () =>
    run(async () => (line.withdrawn ? restoreFacts : withdrawFacts)(await withDesignResults(line.facts)));
  return html`<li class=${classes(line.withdrawn && 'struck-out')}>
    <span><b>${capitalize(line.text)}</b>
      <span class="sub">${details.filter(Boolean).join(' · ')}</span></span>
    ${line.photo && html`<${PhotoThumb} hash=${line.photo} text=${`${line.text}, ${line.when}`} />`}
    ${
      canUndo(line) &&
      html`<button type="button" class="text-button" disabled=${busy} aria-label=${`${words}: ${line.text}`}
        onClick=${change}>${words}</button>`
    }
  </li>`;
}
