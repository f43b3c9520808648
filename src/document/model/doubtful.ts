import type { FlagCode } from '../../measure/flags.js';

/** Flags that say that a reading may not be what it seems: its marker is hollow. */
const DOUBTFUL: ReadonlySet<FlagCode> = new Set([
  'harmonics-out-of-band',
  'no-harmonic-in-band',
  'not-settled',
  'gap-in-capture',
  'clipped-capture',
  'floor-limited',
  'power-not-reached',
  'less-at-same-drive',
  'tone-not-strongest',
  'load-off-nominal',
  'not-as-before',
  'no-tone',
]);

export const isDoubtful = ({ flags }: { readonly flags: readonly FlagCode[] }): boolean =>
  flags.some((flag) => DOUBTFUL.has(flag));
