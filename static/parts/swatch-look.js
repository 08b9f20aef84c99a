// How a colour looks on the cloth: picked by hand or read from a photo of a dyed swatch, and paler or
// deeper as its strength and depth are changed.
import { useRef, useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { callExtra } from '../core/extra.js';
import { style } from '../device/settings.js';
import { useData } from './data-hooks.js';

/** readStrength gives the properties that a strength sets: per cent are of the cloth. */
export async function readStrength({ kind, value }) {
  if (kind !== 'share') return { strength: value, on_cloth: 0 };
  return { strength: (await call('strength.onCloth', { share: value, style: style.value })).gPerL, on_cloth: value };
}

/**
 * useSwatchLook holds how a colour looks: picked is its look at the strength and depth that it had when it was
 * picked, rgb its look at those of now. fault says why rgb does not follow.
 */
export function useSwatchLook(startRGB, strength, depth) {
  const [picked, setPicked] = useState(startRGB);
  const pickedDye = useRef(0); // g/L times depth when it was picked; 0 until the strength is read
  const { value = picked, fault } = useData(async () => {
    if (!strength.value) return picked;
    const dye = (await readStrength(strength)).strength * depth;
    pickedDye.current ||= dye;
    const times = dye / pickedDye.current;
    return times === 1 ? picked : callExtra('colour.scale', { rgb: picked, times });
  }, [picked, strength.kind, strength.value, depth]);
  const pick = (rgb) => {
    pickedDye.current = 0;
    setPicked(rgb.toLowerCase());
  };
  return { rgb: value, pick, fault };
}
