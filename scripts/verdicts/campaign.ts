import type { VerdictClass } from '../../src/judgement/bounds/guard-band.js';
import { type Claim, NO_TERMS } from '../../src/judgement/claim/claim.js';
import { verdict } from '../../src/judgement/verdict/verdict.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { Dice } from './dice.js';
import { DrawnBench, drawnSetup } from './drawn-bench.js';
import { drawUnit, type InventedRun, inventRun, truthFor } from './invented-run.js';
import { SHAPES, type Shape } from './invented-unit.js';
import { playedRecord } from './played-record.js';

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

/** What all of a trial is drawn from. */
function drawn(seed: number) {
  const dice = new Dice(seed);
  const band = dice.share() < 0.2;
  const limit_percent = dice.pick([0.1, 1]);
  const missing = dice.share() < 0.3;
  return { dice, band, limit_percent, missing, shape: SHAPES[seed % SHAPES.length]! };
}

/** True less claimed power over U, of which every third is none. */
const distanceOf = (seed: number, dice: Dice): number => (seed % 3 === 0 ? 0 : 6 * dice.share() - 3);

/** Invents a run and a claim within 3 U of its truth (every third of them equal to it), and judges it. Null where no power keeps the limit. */
export function trial(seed: number): Trial | null {
  const { dice, band, limit_percent, missing, shape } = drawn(seed);
  const run: InventedRun = inventRun(dice, { shape, limit_percent, band, missing });
  if (run.truth_W <= 0.1) return null;
  const distance = distanceOf(seed, dice);
  const claimed_W = run.truth_W - distance * run.uncertainty_W;
  if (claimed_W <= 0) return null;
  const found = verdict(claimOf(claimed_W, limit_percent, band), run.record);
  return { shape, margin: marginOf(distance), verdict: found.verdict, distance, missing, seed };
}

const CLIMB = `
name: Climb
load: 8 ohm
steps:
  - climb: {id: up, frequency: 1 kHz, from: 50 mW, marks: [0.1 %, 1 %], stop: 1 %}
`;

/**
 * The unit of a trial on a bench, climbed at 1 kHz by the whole runner, and a claim judged by the run that it leaves. The bench
 * states 0.2 to 2 % for its volts, and errs by a draw from that. Null where no power keeps the limit.
 */
export async function playedTrial(seed: number): Promise<Trial | null> {
  const { dice, limit_percent, shape } = drawn(seed);
  const { clip_W, bench: drawnBench, unit } = drawUnit(dice, { shape });
  const { truth_W } = truthFor(unit, clip_W, limit_percent);
  if (truth_W <= 0.1) return null;
  // The share stated is expanded, of the volts; a power has twice that.
  const share = 2 * drawnBench.systematic;
  const setup = drawnSetup(share);
  const distance = distanceOf(seed, dice);
  const bench = new DrawnBench(unit, dice, 1 + (share / 2) * dice.normal());
  const plan = makePlan(readSequence(CLIMB, 'climb.yaml'), setup);
  const record = await playedRecord({ plan, setup, bench });
  const shares = record.readings.map(({ uncertainty_W, power_W }) => (uncertainty_W ?? 0) / power_W);
  const claimed_W = truth_W * (1 - distance * Math.max(...shares));
  const found = verdict(claimOf(claimed_W, limit_percent, false), record);
  return { shape, margin: marginOf(distance), verdict: found.verdict, distance, missing: false, seed };
}

function marginOf(distance: number): Margin {
  if (distance === 0) return 'equal';
  if (distance <= -1) return 'below by U or more';
  if (distance >= 1) return 'above by U or more';
  return distance < 0 ? 'below' : 'above';
}
