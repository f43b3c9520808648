import type { KneeResult, Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import type { Shape } from './shapes.js';

/** Readings within this factor of the plateau lie on it. */
const ON_PLATEAU = 2;
/** Length of the line in power where no reading lies on the plateau itself, as when noise hides it. */
const SHORT = 10;

/** The flat part of a climb as a level line, from the first reading that lies on it up to the knee. */
export function plateauShapes(knee: KneeResult | undefined, readings: readonly Reading[]): Shape[] {
  if (knee?.power_W == null || knee.plateau_percent === null) return [];
  const { power_W, plateau_percent } = knee;
  const first = readings.find(
    (reading) => reading.power_W <= power_W / SHORT && reading.thdn_percent <= ON_PLATEAU * plateau_percent,
  );
  const y = Math.log10(plateau_percent);
  return [
    {
      kind: 'rule',
      colour: 'ink',
      through: [
        [Math.log10(first?.power_W ?? power_W / SHORT), y],
        [Math.log10(power_W), y],
      ],
      dash: [2, 2],
    },
  ];
}

/** `knee 97.2 W`, and `plateau 0.0015 %, harmonics`, below all curves, where nothing crosses them. */
export function kneeWords(
  knee: KneeResult | undefined,
  heights: readonly number[],
  { low, high }: { readonly low: number; readonly high: number },
): Shape[] {
  if (knee?.power_W == null) return [];
  const x = Math.log10(knee.power_W);
  const right = x > (low + high) / 2;
  return [
    {
      kind: 'words',
      at: [x, Math.log10(Math.min(...heights.filter((height) => height > 0)))],
      lines: [`knee ${formatQuantity(knee.power_W, 'W')}`, ...plateauWords(knee)],
      anchor: right ? 'end' : 'start',
      dx: right ? 8 : -8,
      dy: 18,
      strong: true,
    },
  ];
}

/** `plateau 0.0015 %, harmonics`: how low the flat part lies, and what governs it. */
export const plateauWords = ({ plateau_percent, governed_by }: KneeResult): string[] =>
  plateau_percent === null
    ? []
    : [`plateau ${formatQuantity(plateau_percent, '%')}${governed_by === null ? '' : `, ${governed_by}`}`];
