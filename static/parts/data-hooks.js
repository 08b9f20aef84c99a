// What a screen shows is worked out again when something was written and as time goes by.
import { useState, useEffect, useRef } from 'preact/hooks';
import { effect } from '@preact/signals';
import { changed, tick } from '../journal/changes.js';
import { told } from '../core/fault.js';
import { noticed } from '../device/storage.js';

/**
 * useLive runs load now, when the journal changes and every half minute, and gives
 * {value, fault, again}. The last value stays while the next is worked out.
 */
export function useLive(load, on = []) {
  const [got, set] = useState({});
  const round = useRef(0);
  const run = useRef();
  run.current = () => {
    const mine = ++round.current;
    Promise.resolve()
      .then(load)
      .then(
        (value) => {
          if (mine === round.current) set({ value });
        },
        (err) => {
          if (mine === round.current) set((old) => ({ value: old.value, fault: told(err) }));
        },
      );
  };
  useEffect(() => {
    const stop = effect(() => {
      changed.value;
      tick.value;
      run.current();
    });
    return () => {
      round.current++;
      stop();
    };
  }, on);
  return { ...got, again: () => run.current() };
}

/** useAsk asks once, for what does not change while the screen is open. */
export function useAsk(load, on = []) {
  const [got, set] = useState({});
  useEffect(() => {
    let here = true;
    Promise.resolve()
      .then(load)
      .then(
        (value) => here && set({ value }),
        (err) => here && set({ fault: told(err) }),
      );
    return () => {
      here = false;
    };
  }, on);
  return got;
}

/** useDo gives [run, fault, busy]: run does one thing that is written or asked, and its fault is kept to be said. */
export function useDo() {
  const [state, set] = useState({});
  const run = async (work) => {
    set({ busy: true });
    try {
      const value = await work();
      set({});
      return value;
    } catch (err) {
      noticed(err);
      set({ fault: told(err) });
    }
  };
  return [run, state.fault, Boolean(state.busy)];
}
