// How a colour looks on the cloth: picked by hand or read from a photo of a dyed swatch, and paler or
// deeper as its strength and depth are changed.
import { call } from '../core/core.js';
import { callExtra } from '../core/extra.js';
import { style } from '../device/settings.js';
import { useData } from './data-hooks.js';

/** readStrength returns the properties that a strength sets: per cent are of the cloth. */
export async function readStrength({ kind, value }) {
  if (kind !== 'share') return { strength: value, on_cloth: 0 };
  return { strength: (await call('strength.onCloth', { share: value, style: style.value })).gPerL, on_cloth: value };
}

/**
 * useSwatchLook holds how a colour looks. [picked, setPicked] is its look as it was picked: rgb, and dye, the g/L times
 * depth that it had then, 0 until the strength is read. rgb is its look at the strength and depth of now, and fault
 * says why it does not follow. readLook returns that look once it is worked out.
 */
export function useSwatchLook([picked, setPicked], strength, depth) {
  const readLook = async () => {
    if (!strength.value) return picked.rgb;
    const dye = (await readStrength(strength)).strength * depth;
    if (!picked.dye) setPicked({ ...picked, dye });
    const times = picked.dye ? dye / picked.dye : 1;
    return Math.abs(times - 1) < 1e-9 ? picked.rgb : callExtra('colour.scale', { rgb: picked.rgb, times });
  };
  const { value = picked.rgb, fault } = useData(readLook, [
    picked.rgb,
    picked.dye,
    strength.kind,
    strength.value,
    depth,
  ]);
  const pick = (rgb) => setPicked({ rgb: rgb.toLowerCase(), dye: 0 });
  return { rgb: value, pick, fault, readLook };
}
