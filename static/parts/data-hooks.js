// Hooks that load what a screen shows, and load it again when the journal changes and as
// time passes.
import { useState, useEffect, useRef } from 'preact/hooks';
import { effect } from '@preact/signals';
import { journalChanged, clockTick } from '../journal/changes.js';
import { asFault } from '../core/fault.js';
import { readUnsaved, writeUnsaved } from '../device/unsaved.js';
import { trackWork } from '../device/one-touch.js';
import { noteStorageError } from '../device/storage.js';
/** @import { Fault } from '../core/fault.js' */

/**
 * useLiveData runs load now, when the journal changes and every half minute, and returns {value,
 * fault, reload}. The last value stays until the next one is loaded.
 * @template Value
 * @param {() => Value | Promise<Value>} load
 * @param {unknown[]} [deps]
 * @returns {{value?: Value, fault?: Fault, reload: () => void}}
 */
export function useLiveData(load, deps = []) {
  const [result, setResult] = useState(/** @type {{value?: Value, fault?: Fault}} */ ({}));
  const runCount = useRef(0);
  const run = useRef(() => undefined);
  run.current = () => {
    const thisRun = ++runCount.current;
    trackWork(Promise.resolve().then(load)).then(
      (value) => {
        if (thisRun === runCount.current) setResult({ value });
      },
      (err) => {
        if (thisRun === runCount.current) setResult((old) => ({ value: old.value, fault: asFault(err) }));
      },
    );
  };
  useEffect(() => {
    const stop = effect(() => {
      journalChanged.value;
      clockTick.value;
      run.current();
    });
    return () => {
      runCount.current++;
      stop();
    };
  }, deps);
  return { ...result, reload: () => run.current() };
}

/**
 * useData loads once, for what does not change while the screen is open.
 * @template Value
 * @param {() => Value | Promise<Value>} load
 * @param {unknown[]} [deps]
 * @returns {{value?: Value, fault?: Fault}}
 */
export function useData(load, deps = []) {
  const [result, setResult] = useState(/** @type {{value?: Value, fault?: Fault}} */ ({}));
  useEffect(() => {
    let isMounted = true;
    trackWork(Promise.resolve().then(load)).then(
      (value) => isMounted && setResult({ value }),
      (err) => isMounted && setResult({ fault: asFault(err) }),
    );
    return () => {
      isMounted = false;
    };
  }, deps);
  return result;
}

/**
 * @typedef {<Value>(work: (sure: boolean) => Value | Promise<Value>, sure?: boolean) => Promise<Value | undefined>} Run
 */

/**
 * useAction returns [run, fault, busy]: run runs one action, and busy is true meanwhile; no second action starts while
 * one runs; fault is why the last action failed, for the screen to show. Where the core is unsure, fault asks: its goOn
 * runs the action again, which is then told that the person is sure, and its leave drops it.
 * @returns {[run: Run, fault: Fault | undefined, busy: boolean]}
 */
export function useAction() {
  const [state, setState] = useState(/** @type {{fault?: Fault, busy?: boolean}} */ ({}));
  const isRunning = useRef(false);
  /** @type {Run} */
  const run = async (work, sure = false) => {
    if (isRunning.current) return undefined; // the page shows a moment later that it is busy
    isRunning.current = true;
    setState({ busy: true });
    try {
      const value = await trackWork(Promise.resolve().then(() => work(sure)));
      setState({});
      return value;
    } catch (err) {
      noteStorageError(err);
      const fault = asFault(err);
      if (fault.code === 'unsure') Object.assign(fault, { goOn: () => run(work, true), leave: () => setState({}) });
      setState({ fault });
      return undefined;
    } finally {
      isRunning.current = false;
    }
  };
  return [run, state.fault, Boolean(state.busy)];
}

/**
 * useUnsaved is useState for what is filled in on a form: it comes back after a reload. name is that of the field on
 * this phone. Set it to undefined once it is saved: it is dropped, and begins at start again.
 * @template Value
 * @param {string} name
 * @param {Value} start
 * @returns {[Value, (value: Value | undefined) => void]}
 */
export function useUnsaved(name, start) {
  const [value, setValue] = useState(() => readUnsaved(name) ?? start);
  const set = (next) => {
    writeUnsaved(name, next);
    setValue(next ?? start);
  };
  return [value, set];
}

/**
 * useUnsavedFields is useUnsaved for a form of several fields. It returns [field, drop]: field(key) is useState for the
 * field with that key, and drop forgets all fields once they are saved or left.
 * @param {string} name
 */
export function useUnsavedFields(name) {
  const [values, setValues] = useState(() => /** @type {Record<string, any>} */ (readUnsaved(name) ?? {}));
  const latest = useRef(values);
  /**
   * @template Value
   * @param {string} key
   * @param {Value} start
   * @returns {[Value, (value: Value | ((before: Value) => Value)) => void]}
   */
  const field = (key, start) => {
    const set = (next) => {
      const before = latest.current[key] ?? start;
      latest.current = { ...latest.current, [key]: typeof next === 'function' ? next(before) : next };
      writeUnsaved(name, latest.current);
      setValues(latest.current);
    };
    return [values[key] ?? start, set];
  };
  return /** @type {const} */ ([field, () => dropUnsaved(name)]);
}

/** dropUnsaved forgets what was begun on a form. */
export const dropUnsaved = (name) => writeUnsaved(name, undefined);

/**
 * useUnsavedSheet is useUnsaved for what a sheet over the screen is open for, null while it is closed. It comes back
 * after a reload, and not when the person has left the screen. form is the name under which its fields are kept.
 * @template Value
 * @param {string} name
 * @param {string} form
 * @param {Value | null} none
 * @returns {[Value | null, (value: Value) => void, () => void]}
 */
export function useUnsavedSheet(name, form, none) {
  const [open, setOpen] = useUnsaved(name, none);
  useEffect(
    () => () => {
      dropUnsaved(name);
      dropUnsaved(form);
    },
    [],
  );
  const close = () => {
    setOpen(undefined);
    dropUnsaved(form);
  };
  return [open, setOpen, close];
}
