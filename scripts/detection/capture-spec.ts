import { type CoherentTone, coherentTone } from '../../src/signal/coherent-tone.js';

/** What a unit and its surroundings may do to a tone without a single sample being lost. */
export interface Nature {
  /** Peak of the wave before it is limited to 1; 1: no clipping. */
  readonly overdrive: number;
  /** Only one of the two rails limits. */
  readonly oneSided: boolean;
  /** Ripple on the rails, share of their voltage, at twice the mains. */
  readonly ripple: number;
  /** Share by which the envelope sags within the record, with this time constant. */
  readonly sag: number;
  readonly sag_s: number;
  /** Cubic bend of the curve, share. */
  readonly bend: number;
  /** Dead zone around zero, share of the peak. */
  readonly crossover: number;
  /** Steepest slope, share of the steepest of the undistorted sine; infinite: no limit. */
  readonly slew: number;
  /** Hum that is added, share of the peak. */
  readonly hum: number;
  readonly mains_Hz: number;
  readonly dc: number;
}

/** A sine and nothing else. */
export const IDEAL: Nature = {
  overdrive: 1,
  oneSided: false,
  ripple: 0,
  sag: 0,
  sag_s: 0.1,
  bend: 0,
  crossover: 0,
  slew: Number.POSITIVE_INFINITY,
  hum: 0,
  mains_Hz: 50,
  dc: 0,
};

/** One capture to be invented. */
export interface CaptureSpec {
  readonly tone: CoherentTone;
  /** Peak of the tone relative to digital full scale. */
  readonly level_dBFS: number;
  /** Rms of the converter's noise, a full-scale sine being 0 dBFS. */
  readonly noise_dBFS: number;
  readonly bits: 16 | 24;
  /** By how much the playing clock runs faster than the capturing one. */
  readonly clock_ppm: number;
  readonly phase_rad: number;
  readonly nature: Nature;
  /** Chooses the noise. */
  readonly seed: number;
}

export type Dice = () => number;

const between = (dice: Dice, low: number, high: number) => low + (high - low) * dice();
const often = (dice: Dice, share: number, value: (dice: Dice) => number, other = 0) =>
  dice() < share ? value(dice) : other;

/** What an amplifier does, from nothing at all to everything at once. */
export function drawNature(dice: Dice): Nature {
  return {
    overdrive: often(dice, 0.5, (d) => 1 + d() * d() * 2, 1),
    oneSided: dice() < 0.2,
    ripple: often(dice, 0.4, (d) => 0.05 * d()),
    sag: often(dice, 0.4, (d) => 0.1 * d()),
    sag_s: between(dice, 0.03, 0.5),
    bend: often(dice, 0.5, (d) => 0.1 * d() ** 2),
    crossover: often(dice, 0.2, (d) => 0.05 * d()),
    slew: often(dice, 0.15, (d) => between(d, 0.5, 1.1), Number.POSITIVE_INFINITY),
    hum: often(dice, 0.5, (d) => 10 ** between(d, -5, -2)),
    mains_Hz: (dice() < 0.5 ? 50 : 60) * (1 + 0.004 * (dice() - 0.5)),
    dc: often(dice, 0.5, (d) => 0.1 * (d() - 0.5)),
  };
}

/** What `npm run detection` may hold fixed; the rest is drawn. */
export interface Fixed {
  readonly nominal_Hz?: number;
  readonly level_dBFS?: readonly [low: number, high: number];
  readonly rate_Hz?: number;
  readonly nature?: Nature;
}

/** Mostly the lowest, at which a capture is measured soonest. */
const RATES = [48_000, 48_000, 48_000, 48_000, 48_000, 48_000, 48_000, 48_000, 96_000, 192_000];

/** One capture at random: converters of 16 and 24 bits with -120 to -90 dBFS of noise, clocks up to 200 ppm apart. */
export function drawCapture(dice: Dice, fixed: Fixed = {}): CaptureSpec {
  const rate_Hz = fixed.rate_Hz ?? RATES[Math.floor(dice() * RATES.length)]!;
  const nominal_Hz = fixed.nominal_Hz ?? 20 * 1000 ** dice();
  const [low, high] = fixed.level_dBFS ?? [-60, 0];
  return {
    tone: coherentTone({ nominal_Hz, rate_Hz }),
    level_dBFS: between(dice, low, high),
    noise_dBFS: between(dice, -120, -90),
    bits: dice() < 0.2 ? 16 : 24,
    clock_ppm: often(dice, 0.25, (d) => 200 * (2 * d() - 1)),
    phase_rad: 2 * Math.PI * dice(),
    nature: fixed.nature ?? drawNature(dice),
    seed: Math.floor(dice() * 2 ** 31),
  };
}
