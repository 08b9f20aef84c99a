// mL that one squeeze of the bottle gives. It depends on the hand that squeezes, so it stays on this phone.
import { signal } from '@preact/signals';

const key = 'coldbatch.squeeze';
const [least, most] = [0.05, 50]; // mL a squeeze of any bottle for dye (judgement)

function readStored() {
  try {
    return Number(localStorage.getItem(key)) || 0;
  } catch {
    return 0;
  }
}

// squeeze is in mL, 0 where it was not measured.
export const squeeze = signal(readStored());

// isSqueeze says whether a volume in mL can come from one squeeze.
export const isSqueeze = (ml) => ml >= least && ml <= most;

export function setSqueeze(ml) {
  squeeze.value = ml;
  try {
    localStorage.setItem(key, String(ml));
  } catch {
    // it holds until the app is closed
  }
}
