// What a screen shows is worked out again when something was written and as time goes by.
import { useState, useEffect, useRef } from 'preact/hooks';
import { effect } from '@preact/signals';
import { journalChanged, clockTick } from '../journal/changes.js';
import { asFault } from '../core/fault.js';
import { noteStorageError } from '../device/storage.js';
/** @import { Fault } from '../core/fault.js' */

/**
 * useLiveData runs load now, when the journal changes and every half minute, and gives {value, fault,
 * again}. The last value stays while the next is worked out.
 * @template Value
 * @param {() => Value | Promise<Value>} load
 * @param {unknown[]} [on]
 * @returns {{value?: Value, fault?: Fault, again: () => void}}
 */
export function useLiveData(load, on = []) {
  const [got, set] = useState(/** @type {{value?: Value, fault?: Fault}} */ ({}));
  const round = useRef(0);
  const run = useRef(() => undefined);
  run.current = () => {
    const mine = ++round.current;
    Promise.resolve()
      .then(load)
      .then(
        (value) => {
          if (mine === round.current) set({ value });
        },
        (err) => {
          if (mine === round.current) set((old) => ({ value: old.value, fault: asFault(err) }));
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
      round.current++;
      stop();
    };
  }, on);
  return { ...got, again: () => run.current() };
}

/**
 * useData asks once, for what does not change while the screen is open.
 * @template Value
 * @param {() => Value | Promise<Value>} load
 * @param {unknown[]} [on]
 * @returns {{value?: Value, fault?: Fault}}
 */
export function useData(load, on = []) {
  const [got, set] = useState(/** @type {{value?: Value, fault?: Fault}} */ ({}));
  useEffect(() => {
    let here = true;
    Promise.resolve()
      .then(load)
      .then(
        (value) => here && set({ value }),
        (err) => here && set({ fault: asFault(err) }),
      );
    return () => {
      here = false;
    };
  }, on);
  return got;
}

/** @typedef {<Value>(work: () => Value | Promise<Value>) => Promise<Value | undefined>} Run */

/**
 * useAction gives [run, fault, busy]: run does one thing that is written or asked; fault is why
 * it failed, for the screen to show.
 * @returns {[run: Run, fault: Fault | undefined, busy: boolean]}
 */
export function useAction() {
  const [state, set] = useState(/** @type {{fault?: Fault, busy?: boolean}} */ ({}));
  const run = async (work) => {
    set({ busy: true });
    try {
      const value = await work();
      set({});
      return value;
    } catch (err) {
      noteStorageError(err);
      set({ fault: asFault(err) });
    }
  };
  return [run, state.fault, Boolean(state.busy)];
}
