import { decibelsOfVoltage } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import type { PointEvidence } from './evidence.js';
import { type CauseQuestion, ramp, type Suspicion, suspicion } from './question.js';
import type { Shape } from './shape-fit.js';

/** Limits of the output stage that show in the shape of one cycle. */
export interface LimitSuspicions {
  readonly sag: Suspicion;
  readonly rail: Suspicion;
  readonly current: Suspicion;
  readonly slew: Suspicion;
  readonly crossover: Suspicion;
}

/**
 * Inner resistance that rails, transistors and wiring of a sound unit stay below, and that only a current limit
 * explains.
 */
const RAIL_OHM = 0.6;
const LIMIT_OHM = 1.8;
/** Whether flat tops on one load alone are a current limit: both look the same, rails are the more common. */
const CURRENT_UNKNOWN = 0.25;
/** Slopes below a tenth of a volt per microsecond are not those of any amplifier stage. */
const LEAST_SLEW_V_PER_S = 1e5;
/** Orders from the second on with which slew limit and crossover look alike. */
const FEW_ORDERS = 4;
/** How often the fit is right about them then, when there is no look at a lower level. */
const UNTOLD = 0.7;

/** How far the harmonics say that a limit is at work at all, 0 to 1. */
export function limited({ failing, threshold_percent = 1 }: CauseQuestion): number {
  return ramp((100 * failing.distortion) / threshold_percent, 0.2, 0.5);
}

/** Weighs sag, rails, current limit, slew limit and crossover by the shape of the failing cycle. */
export function suspectLimits(question: CauseQuestion): LimitSuspicions {
  const { failing } = question;
  const { shape } = failing;
  const presence = limited(question);
  const moving = rippling(failing);
  // Tops that follow the mains are held by the rails, even where no distortion lies inside the band to tell.
  const held = failing.highestOrder < 3 ? 1 : presence;
  const still = presence * (shape?.clip ?? 0) * (1 - moving) * asHighElsewhere(question);
  const { share, rails, text } = currentShare(question);
  const flat = flatTops(failing);
  return {
    sag: suspicion(held * sagShare(shape) * moving, [rippleText(failing), flat, text]),
    rail: suspicion(still * (1 - share) * rails, [flat, share < 0.5 ? text : '']),
    current: suspicion(still * share, [flat, text]),
    slew: slew(question, presence),
    crossover: crossover(question, presence),
  };
}

/**
 * What slew limit and crossover leave of a wave whose tops the rails hold. In the bass the rails move within a
 * top, so its shape is not that of a clip.
 */
function sagShare(shape: Shape | null): number {
  return shape ? Math.max(shape.clip, 1 - shape.slew - shape.crossover) : 1;
}

/** Rails stand as high at any frequency: tops that another frequency passes into the same load are not theirs. 0 to 1. */
function asHighElsewhere({ failing, reference }: CauseQuestion): number {
  return reference ? ramp(height(reference) / height(failing), 1.4, 1.15) : 1;
}

/** How surely the tops move with the mains. */
function rippling({ ripple }: PointEvidence): number {
  return ramp(Math.log10(ripple.depth), -2.7, -2.0) * ramp(ripple.share, 0.05, 0.3);
}

/**
 * Shares of slew limit and crossover. Both put the third harmonic in antiphase, so the fit alone may take one
 * for the other. But a crossover grows as the level falls and a slew limit is then gone; and no slope is a
 * limit that another frequency has passed.
 */
function antiphaseShares({ failing, low, reference }: CauseQuestion): { slew: number; crossover: number } {
  const { shape } = failing;
  if (!shape) return { slew: 0, crossover: 0 };
  const steepest = failing.slope.steepest_per_s;
  const passed = reference ? ramp(reference.slope.steepest_per_s / steepest, 1.2, 1.05) : 1;
  const possible =
    passed * ramp(Math.log(steepest), Math.log(LEAST_SLEW_V_PER_S / 3), Math.log(LEAST_SLEW_V_PER_S));
  if (low && failing.distortion > 0) {
    const rising = ramp(low.distortion / failing.distortion, 0.4, 0.9);
    const both = shape.slew + shape.crossover;
    return { slew: both * (1 - rising) * possible, crossover: both * rising };
  }
  const told = shape.orders > FEW_ORDERS ? 1 : UNTOLD;
  return {
    slew: (told * shape.slew + (1 - told) * shape.crossover) * possible,
    crossover: told * shape.crossover + (1 - told) * shape.slew,
  };
}

function slew(question: CauseQuestion, presence: number): Suspicion {
  const { failing, reference } = question;
  const share = antiphaseShares(question).slew;
  const steep = `the steepest slope, ${microslope(failing.slope.steepest_per_s)} V/us, is held over ${percent(failing.slope.share)} of the cycle (a sine: 20 %)`;
  const tops = `the tops reach ${volts(failing.tops.positive)}`;
  const lower =
    reference && reference.frequency_Hz < failing.frequency_Hz
      ? `${tops}, where ${hertz(reference.frequency_Hz)} reaches ${volts(reference.tops.positive)}`
      : '';
  return suspicion(presence * share, [steep, lower, slewText(failing)]);
}

function crossover(question: CauseQuestion, presence: number): Suspicion {
  const { failing, low } = question;
  const share = antiphaseShares(question).crossover;
  const near =
    failing.crossing > 0.3
      ? `${percent(failing.crossing)} of the residue lies within 0.3 rad of the zero crossings (evenly spread: 19 %)`
      : 'the odd harmonics inside the band stand against the fundamental, as those of a gap at the zero crossings';
  const rises = low
    ? `distortion is ${formatQuantity(100 * low.distortion, '%')} at ${volts(low.fundamental_V)} and ${formatQuantity(100 * failing.distortion, '%')} at ${volts(failing.fundamental_V)}`
    : '';
  return suspicion(presence * share, [near, rises]);
}

/** How likely flat tops are held by a current rather than by the rails, and whether rails can stand as low as that. */
interface CurrentShare {
  readonly share: number;
  readonly rails: 0 | 1;
  readonly text: string;
}

/** Tops this share below those into another load are lower. */
const LOWER = 0.9;

function currentShare(question: CauseQuestion): CurrentShare {
  const { failing, reference, otherLoad } = question;
  const here = [failing, reference].find(
    (one) => one && otherLoad && Math.abs(one.frequency_Hz / otherLoad.frequency_Hz - 1) < 0.01,
  );
  if (!here || !otherLoad || here.load_ohm === otherLoad.load_ohm) {
    return { share: CURRENT_UNKNOWN, rails: 1, text: '' };
  }
  const [a, b] = [height(here), height(otherLoad)];
  const [aAmps, bAmps] = [a / here.load_ohm, b / otherLoad.load_ohm];
  // Both loads on one straight line from an inner voltage through an inner resistance (standards facts, section
  // 13).
  const inner_ohm = (b - a) / (aAmps - bAmps);
  const same = Math.abs(aAmps / bAmps - 1) < 0.04;
  const heavier = here.load_ohm < otherLoad.load_ohm;
  const share = same ? 1 : heavier ? ramp(Math.log(inner_ohm), Math.log(RAIL_OHM), Math.log(LIMIT_OHM)) : 0;
  const text = `tops of ${volts(a)} (${amps(aAmps)}) into ${ohms(here.load_ohm)} and ${volts(b)} (${amps(bAmps)}) into ${ohms(otherLoad.load_ohm)}`;
  if (same) return { share, rails: 1, text: `${text}: the same current` };
  // Rails fall with the current drawn from them: with less of it they stand no lower than into the other load.
  if (a < LOWER * b && aAmps < LOWER * bAmps) {
    const folds = `${text}: fewer volts and less current than into the other load`;
    return { share: heavier ? 1 : 0, rails: 0, text: folds };
  }
  const wanted = Number.isFinite(inner_ohm) && inner_ohm > 0.01 ? `, as with ${ohms(inner_ohm)} inside` : '';
  return { share: Number.isFinite(share) ? share : 0, rails: 1, text: text + wanted };
}

function height({ tops }: PointEvidence): number {
  return (tops.positive + tops.negative) / 2;
}

function flatTops(failing: PointEvidence): string {
  const { tops } = failing;
  return `the tops stop at +${volts(tops.positive)} and -${volts(tops.negative)} and take ${percent(tops.share)} of the cycle (a sine: 13 %)`;
}

function rippleText({ ripple, frequency_Hz }: PointEvidence): string {
  const beat_Hz = ripple.halfWave ? ripple.mains_Hz : 2 * ripple.mains_Hz;
  // Sidebands of a ripple of this depth: half of its amplitude each (standards facts, section 13).
  const sideband_dB = decibelsOfVoltage(Math.max(ripple.depth, 1e-12) / 4);
  return `the tops move by ${formatQuantity(100 * ripple.depth, '%')} at ${beat_Hz} Hz, ${ripple.halfWave ? 'once' : 'twice'} a mains cycle; sidebands of ${hertz(frequency_Hz)} near ${sideband_dB.toFixed(0)} dB`;
}

/** Worth saying only where the fit itself chose this shape. */
function slewText({ shape }: PointEvidence): string {
  return shape && shape.slew > 0.3
    ? `${percent(shape.slew)} of the harmonics up to order ${shape.orders + 1} are those of a slope that is limited`
    : '';
}

const volts = (value: number) => formatQuantity(value, 'V');
const amps = (value: number) => formatQuantity(value, 'A');
const ohms = (value: number) => formatQuantity(value, 'ohm');
const hertz = (value: number) => formatQuantity(value, 'Hz');
const percent = (share: number) => `${(100 * share).toFixed(0)} %`;
const microslope = (perSecond: number) => (perSecond / 1e6).toPrecision(3);
