import type { Reading } from '../../record/run-record.js';
import type { Place, Shape } from './shapes.js';

/** Where the bench's own THD+N lies below readings, on axes of which the upward one is in decades of percent. */
export function floorPlaces(
  readings: readonly Reading[],
  floorAt: (reading: Reading) => number | null,
  along: (reading: Reading) => number,
): Place[] {
  return readings.flatMap((reading) => {
    const percent = floorAt(reading);
    const place: Place = [along(reading), percent === null ? Number.NaN : Math.log10(percent)];
    return place.every(Number.isFinite) ? [place] : [];
  });
}

/** The floor as a dotted line. */
export const floorShapes = (places: readonly Place[]): Shape[] => [
  { kind: 'rule', colour: 'soft', through: places, dash: [1.5, 3] },
];

/** Its name, where it first comes into the plot. */
export function floorWords(
  places: readonly Place[],
  up: { readonly low: number; readonly high: number },
): Shape[] {
  const first = places.find(([, y]) => y > up.low && y < up.high);
  return first === undefined
    ? []
    : [{ kind: 'words', at: first, lines: ["the bench's own"], anchor: 'start', dx: 2, dy: 11 }];
}
