import { seededRandom } from '../../src/stimulus/dither.js';
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

/** The wave of one instant, peak 1, from the phase of the tone and the rails at that time. */
function shaped(sine: number, rail: number, nature: Nature): number {
  const { overdrive, oneSided, bend, crossover } = nature;
  const bent = overdrive * (sine - bend * sine ** 3);
  const crossed = crossover === 0 ? bent : Math.sign(bent) * Math.max(0, Math.abs(bent) - crossover);
  return Math.max(oneSided ? -overdrive : -rail, Math.min(rail, crossed));
}

/**
 * The time line that a capture is a stretch of: what the converter would give if nothing went wrong.
 *
 * @param frames the capture's own and as many more as a gap may take away
 */
export function renderTimeLine(spec: CaptureSpec, frames: number): Float64Array {
  const { tone, nature, clock_ppm, phase_rad } = spec;
  const peak = 10 ** (spec.level_dBFS / 20);
  const noise_rms = 10 ** (spec.noise_dBFS / 20) * Math.SQRT1_2;
  const step = (tone.cycles / tone.frames) * (1 + clock_ppm * 1e-6);
  const from = spec.seed % (BANK.length - frames);
  const mains = nature.mains_Hz / tone.rate_Hz;
  const steepest = nature.slew * nature.overdrive * 2 * Math.PI * step;
  const grid = 2 ** (spec.bits - 1);
  const dither = seededRandom(spec.seed);
  const out = new Float64Array(frames);
  // A slope limit has had its cycles to settle before the capture begins.
  const runIn = nature.slew === Number.POSITIVE_INFINITY ? 0 : Math.ceil(RUN_IN_CYCLES / step);
  let last = 0;
  for (let n = -runIn; n < frames; n++) {
    const sine = Math.sin(2 * Math.PI * ((step * n) % 1) + phase_rad);
    const sagged =
      nature.sag === 0 || n < 0 ? 1 : 1 - nature.sag * (1 - Math.exp(-n / (tone.rate_Hz * nature.sag_s)));
    const rail = sagged * (nature.ripple === 0 ? 1 : 1 + nature.ripple * ripple(2 * mains * n));
    const wave = shaped(sine, rail, nature);
    last = Math.max(last - steepest, Math.min(last + steepest, wave));
    if (n < 0) continue;
    const hum = nature.hum === 0 ? 0 : nature.hum * Math.sin(2 * Math.PI * mains * n);
    const value = peak * (last + hum + nature.dc) + noise_rms * BANK[from + n]!;
    out[n] = converted(value, grid, dither);
  }
  return out;
}

/** On the grid of a converter with triangular dither, held at full scale. */
function converted(value: number, grid: number, dither: Dice): number {
  // On the grid of 24 bits it would lie 20 dB and more below the noise.
  const code = Math.round(value * grid + (grid < 2 ** 20 ? dither() - dither() : 0));
  return Math.max(-grid, Math.min(grid - 1, code)) / grid;
}
