// Changes of a design, each a new one.
const fillTo = (list, n) => Array.from({ length: n }, (_, i) => list[i] ?? list[i % Math.max(1, list.length)] ?? 0);

// withFold changes the kind of fold; sections stay as far as the fold has them.
export function withFold(design, choice) {
  const { center, seed } = design.fold;
  const fold = { kind: choice.kind, center: choice.center ? center : { x: 0, y: 0 }, seed };
  const b = choice.rope ? [] : design.b.length ? design.b : [...design.a];
  return { ...design, fold, shape: '', b, bound: choice.rope };
}

// withSections changes the number of sections.
export const withSections = (design, n) => ({
  ...design,
  a: fillTo(design.a, n),
  b: design.b.length ? fillTo(design.b, n) : [],
});

// withPaint puts a colour on a section of a side; both sides alike where both is set.
export function withPaint(design, side, section, colour, both) {
  const paint = (list) => (section < list.length ? list.with(section, colour) : list);
  return {
    ...design,
    a: side === 'a' || both ? paint(design.a) : design.a,
    b: side === 'b' || both ? paint(design.b) : design.b,
  };
}

export const withFoldMeasure = (design, some) => ({ ...design, fold: { ...design.fold, ...some } });

// withColour replaces one colour by another.
export const withColour = (design, index, colour) => ({ ...design, colours: design.colours.with(index, colour) });

// withoutColour takes a colour out; its sections get no dye.
export function withoutColour(design, index) {
  const less = (list) => list.map((k) => (k === index ? -1 : k > index ? k - 1 : k));
  return { ...design, colours: design.colours.toSpliced(index, 1), a: less(design.a), b: less(design.b) };
}

// sizedFor repeats a design at the size of a kind of piece, where the shape of that is known.
export const sizedFor = (design, kind, garments) =>
  garments.some((g) => g.garment === kind) ? { ...design, garment: kind } : design;

// isAlike says whether both sides have the same colours.
export const isAlike = (design) => design.b.length === 0 || design.a.every((k, i) => k === design.b[i]);
