// The kinds of scope that have a state, which the core builds from their facts and the phone
// caches: one entry here and one in internal/projection. list is the list of a scope whose state
// was never built.
const projections = {
  batch: { list: 'batch-open' },
  place: { list: 'place' },
  shelf: { list: 'shelf' },
  designs: { list: 'designs' },
};

// projectionOf returns the entry of a scope, or undefined if it has no state.
export const projectionOf = (scope) => projections[scope.split('/')[0]];
