import { seededRandom } from '../../src/signal/dither.js';
import type { CaptureSpec, Dice, Nature } from './capture-spec.js';

/** Recharging in a fifth of the ripple's period, discharge in a straight line; from -1 to 1. */
function ripple(turns: number): number {
  const part = turns - Math.floor(turns);
  return part < 0.2 ? 10 * part - 1 : 1 - 2.5 * (part - 0.2);
}

/** Gaussian noise by the method of Box and Muller, 1958; drawn once, since drawing takes longer than looking for gaps. */
const BANK = bankOf(2 ** 20);

function bankOf(frames: number): Float64Array {
  const random = seededRandom(20_061);
  return Float64Array.from(
    { length: frames },
    () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random()),
  );
}

const RUN_IN_CYCLES = 4;

/** The wave of one instant, peak 1, from the sine of the tone and the rails at that time. */
function shaperOf(nature: Nature): (sine: number, rail: number) => number {
  const { overdrive, oneSided, bend, crossover } = nature;
  return (sine, rail) => {
    const bent = overdrive * (sine - bend * sine * sine * sine);
    const crossed = bent > crossover ? bent - crossover : bent < -crossover ? bent + crossover : 0;
    const least = oneSided ? -overdrive : -rail;
    return Math.min(rail, Math.max(least, crossed));
  };
}

/** Instants that a sample of a distorted wave is the mean of. */
const SUBSAMPLES = 4;
/** Samples after which the sine is reckoned anew, so that rounding does not add up. */
const ANEW = 64;

/**
 * The time line that a capture is a stretch of: what the converter would give if nothing went wrong. A sample is the mean
 * over its own time: a converter that took instants would fold the harmonics beside its rate down to the tone itself, where
 * no filter of a real one lets them get.
 *
 * @param frames the capture's own and as many more as a gap may take away
 */
export function renderTimeLine(spec: CaptureSpec, frames: number): Float64Array {
  const { tone, nature, clock_ppm } = spec;
  const peak = 10 ** (spec.level_dBFS / 20);
  const noise_rms = 10 ** (spec.noise_dBFS / 20) * Math.SQRT1_2;
  const step = (tone.cycles / tone.frames) * (1 + clock_ppm * 1e-6);
  const from = spec.seed % (BANK.length - frames);
  const mains = nature.mains_Hz / tone.rate_Hz;
  const grid = 2 ** (spec.bits - 1);
  const dither = seededRandom(spec.seed);
  const out = new Float64Array(frames);
  // A slope limit has had its cycles to settle before the capture begins.
  const runIn = nature.slew === Number.POSITIVE_INFINITY ? 0 : Math.ceil(RUN_IN_CYCLES / step);
  const waveAt = waveOf(spec, step);
  for (let n = -runIn; n < frames; n++) {
    const sagged =
      nature.sag === 0 || n < 0 ? 1 : 1 - nature.sag * (1 - Math.exp(-n / (tone.rate_Hz * nature.sag_s)));
    const rail = sagged * (nature.ripple === 0 ? 1 : 1 + nature.ripple * ripple(2 * mains * n));
    const wave = waveAt(n, rail);
    if (n < 0) continue;
    const hum = nature.hum === 0 ? 0 : nature.hum * Math.sin(2 * Math.PI * mains * n);
    const value = peak * (wave + hum + nature.dc) + noise_rms * BANK[from + n]!;
    out[n] = converted(value, grid, dither);
  }
  return out;
}

/** The wave, peak 1, sample by sample: asked for in order, with the rails of that time. */
function waveOf({ phase_rad, nature }: CaptureSpec, step: number): (n: number, rail: number) => number {
  const shaped = shaperOf(nature);
  const parts = isSine(nature) ? 1 : SUBSAMPLES;
  const steepest = (nature.slew * nature.overdrive * 2 * Math.PI * step) / parts;
  const turn = (2 * Math.PI * step) / parts;
  const [turnCos, turnSin] = [Math.cos(turn), Math.sin(turn)];
  let [sine, cosine, last, begun] = [0, 0, 0, false];
  return (n, rail) => {
    if (!begun || n % ANEW === 0) {
      const angle = 2 * Math.PI * ((step * n) % 1) + phase_rad;
      [sine, cosine, begun] = [Math.sin(angle), Math.cos(angle), true];
    }
    let sum = 0;
    for (let part = 0; part < parts; part++) {
      const wave = shaped(sine, rail);
      last = Math.min(last + steepest, Math.max(last - steepest, wave));
      sum += last;
      const next = sine * turnCos + cosine * turnSin;
      cosine = cosine * turnCos - sine * turnSin;
      sine = next;
    }
    return sum / parts;
  };
}

function isSine({ overdrive, ripple: rippling, sag, bend, crossover, slew }: Nature): boolean {
  return overdrive === 1 && rippling + sag + bend + crossover === 0 && slew === Number.POSITIVE_INFINITY;
}

/** On the grid of a converter with triangular dither, held at full scale. */
function converted(value: number, grid: number, dither: Dice): number {
  // On the grid of 24 bits it would lie 20 dB and more below the noise.
  const code = Math.round(value * grid + (grid < 2 ** 20 ? dither() - dither() : 0));
  return Math.max(-grid, Math.min(grid - 1, code)) / grid;
}
