import type { VerdictClass } from '../../src/judgement/bounds/guard-band.js';
import { type Claim, NO_TERMS } from '../../src/judgement/claim/claim.js';
import { verdict } from '../../src/judgement/verdict/verdict.js';
import { Dice } from './dice.js';
import { type InventedRun, inventRun } from './invented-run.js';
import { SHAPES, type Shape } from './invented-unit.js';

/** Where the claim lies against the truth, in units of U. */
export type Margin = 'below by U or more' | 'below' | 'equal' | 'above' | 'above by U or more';
export const MARGINS: readonly Margin[] = [
  'below by U or more',
  'below',
  'equal',
  'above',
  'above by U or more',
];

export interface Trial {
  readonly shape: Shape;
  readonly margin: Margin;
  readonly verdict: VerdictClass;
  /** True less claimed power over U. */
  readonly distance: number;
  /** Whether readings were left out at random. */
  readonly missing: boolean;
  readonly seed: number;
}

/** A claim of a power per channel, at a limit, at 1 kHz or over the band. */
export const claimOf = (power_W: number, limit_percent: number, band: boolean): Claim => ({
  ...NO_TERMS,
  ...{ power_W, per: 'channel', kind: 'continuous', load_ohm: 8, distortion_percent: limit_percent },
  ...{ distortion: 'THD+N', frequency_Hz: band ? [20, 20_000] : [1000, 1000], channels: 1, driven: 1 },
});

/** Invents a run and a claim within 3 U of its truth (every third of them equal to it), and judges it. Null where no power keeps the limit. */
export function trial(seed: number): Trial | null {
  const dice = new Dice(seed);
  const band = dice.share() < 0.2;
  const limit_percent = dice.pick([0.1, 1]);
  const missing = dice.share() < 0.3;
  const run: InventedRun = inventRun(dice, {
    shape: SHAPES[seed % SHAPES.length]!,
    limit_percent,
    band,
    missing,
  });
  if (run.truth_W <= 0.1) return null;
  const distance = seed % 3 === 0 ? 0 : 6 * dice.share() - 3;
  const claimed_W = run.truth_W - distance * run.uncertainty_W;
  if (claimed_W <= 0) return null;
  const found = verdict(claimOf(claimed_W, run.limit_percent, band), run.record);
  return { shape: run.shape, margin: marginOf(distance), verdict: found.verdict, distance, missing, seed };
}

function marginOf(distance: number): Margin {
  if (distance === 0) return 'equal';
  if (distance <= -1) return 'below by U or more';
  if (distance >= 1) return 'above by U or more';
  return distance < 0 ? 'below' : 'above';
}
