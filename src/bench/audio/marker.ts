import { voltageRatio } from '../../units/decibel.js';

/**
 * The sound that opens each play, so that the delay between playing and capturing is known: an up-going linear
 * chirp under a Hann window, long enough to be heard through 60 dB of loss.
 *
 * It must harm nothing: it stays below -50 dB of full scale and, at the most gain that the bench file allows a unit
 * to have, below 1 V at the load, which is an eighth of a watt into 8 ohm at its loudest instant.
 */
const MOST_PEAK = voltageRatio(-50);
const MOST_LOAD_VPK = 1;
const LOW_HZ = 300;
/** Low enough for amplifiers with a poor treble, and for a search at a quarter of 44.1 kHz. */
const HIGH_HZ = 4000;
const FRAMES_AT_48K = 4096;

/** Share of a stretch's energy that must lie in the marker. Noise alone gets there less than once in 10 000 starts. */
const HEARD = 0.03;
/** Thinned samples from one search to the next: the peak of the match is some four of them wide. */
const STRIDE = 2;
/** Seconds to listen on after the best match, in case a better one follows. */
const LISTEN_ON_S = 0.02;

/** Frames of the marker: 85 ms at 48 kHz and its multiples, 93 ms at 44.1 kHz and its multiples. */
export function markerFrames(rate_Hz: number): number {
  return FRAMES_AT_48K * rateScale(rate_Hz);
}

/**
 * Digital peak of the marker on an output.
 *
 * @param outputFullScale_Vpk volts of that output at digital full scale
 * @param gain_dB the most voltage gain that a unit may have
 */
export function markerPeak(outputFullScale_Vpk: number, gain_dB: number): number {
  return Math.min(MOST_PEAK, MOST_LOAD_VPK / (outputFullScale_Vpk * voltageRatio(gain_dB)));
}

/** The marker at a peak of 1. */
export function marker(rate_Hz: number): Float64Array {
  return analyticChirp(rate_Hz).im;
}

interface Complex {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/**
 * Finds the marker in samples that come in piece by piece: a matched filter whose two quadratures are taken
 * together, so that polarity and phase of the unit do not matter. It looks at samples thinned to some 12 kHz first,
 * then at the full rate around the best match.
 */
export class MarkerSearch {
  readonly #thin: number;
  readonly #template: Complex;
  readonly #samples = new Growing();
  readonly #thinned = new Growing();
  #looked = 0;
  #best = { lag: -1, share: 0 };

  constructor(private readonly rate_Hz: number) {
    this.#thin = 4 * rateScale(rate_Hz);
    const chirp = analyticChirp(rate_Hz);
    this.#template = { re: thinned(chirp.re, this.#thin), im: thinned(chirp.im, this.#thin) };
  }

  /** Takes the samples that follow on those of the last call. */
  push(samples: Float64Array): void {
    this.#samples.push(samples);
    const from = this.#thinned.length * this.#thin;
    // One block more than is new, since thinning takes differences.
    const whole = Math.floor((this.#samples.length - from) / this.#thin);
    const before = from === 0 ? 0 : this.#thin;
    const block = thinned(this.#samples.view(from - before, from + whole * this.#thin), this.#thin);
    this.#thinned.push(before === 0 ? block : block.subarray(1));
    this.#look();
  }

  /**
   * Where the marker begins and how much of the energy there it makes up (1 = nothing else), once that is
   * certain; null before.
   */
  found(): { readonly frame: number; readonly share: number } | null {
    const { lag, share } = this.#best;
    const heardOut = (this.#looked - lag) * this.#thin >= LISTEN_ON_S * this.rate_Hz;
    return share >= HEARD && heardOut ? { frame: this.#refine(lag * this.#thin), share } : null;
  }

  #look(): void {
    const { re, im } = this.#template;
    const size = re.length;
    const last = this.#thinned.length - size;
    if (this.#looked > last) return;
    const all = this.#thinned.view(0, this.#thinned.length);
    const energy = power(re, 0, size) + power(im, 0, size);
    for (let lag = this.#looked; lag <= last; lag += STRIDE) {
      const total = power(all, lag, lag + size);
      // |<x, c>|^2 is at most half of |x|^2 |c|^2 for a real x and an analytic c.
      const share = total === 0 ? 0 : (2 * match(all, lag, this.#template)) / (total * energy);
      if (share > this.#best.share) this.#best = { lag, share };
      this.#looked = lag + STRIDE;
    }
  }

  #refine(near: number): number {
    const chirp = analyticChirp(this.rate_Hz);
    const size = chirp.re.length;
    const reach = 2 * this.#thin;
    const from = Math.max(near - reach, 0);
    const to = Math.min(near + reach, this.#samples.length - size);
    const all = this.#samples.view(0, this.#samples.length);
    let best = { frame: near, level: -1 };
    for (let frame = from; frame <= to; frame += 1) {
      const level = match(all, frame, chirp);
      if (level > best.level) best = { frame, level };
    }
    return best.frame;
  }
}

function rateScale(rate_Hz: number): number {
  return Math.max(1, Math.floor(rate_Hz / 44_100));
}

function analyticChirp(rate_Hz: number): Complex {
  const frames = markerFrames(rate_Hz);
  const re = new Float64Array(frames);
  const im = new Float64Array(frames);
  const seconds = frames / rate_Hz;
  for (let i = 0; i < frames; i += 1) {
    const t = i / rate_Hz;
    const phase = 2 * Math.PI * (LOW_HZ * t + ((HIGH_HZ - LOW_HZ) * t * t) / (2 * seconds));
    const window = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / frames);
    re[i] = window * Math.cos(phase);
    im[i] = window * Math.sin(phase);
  }
  return { re, im };
}

/** Means of `by` samples at a time, then their differences: DC and hum must not hide the marker. */
function thinned(samples: Float64Array, by: number): Float64Array {
  const out = new Float64Array(Math.floor(samples.length / by));
  let last = 0;
  for (let i = 0; i < out.length; i += 1) {
    let sum = 0;
    for (let j = i * by; j < (i + 1) * by; j += 1) sum += samples[j]!;
    out[i] = i === 0 ? 0 : (sum - last) / by;
    last = sum;
  }
  return out;
}

function power(samples: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i += 1) sum += samples[i]! * samples[i]!;
  return sum;
}

/** |<samples, conj(template)>|^2 over the template's length, from sample `at` on. */
function match(samples: Float64Array, at: number, { re, im }: Complex): number {
  let inPhase = 0;
  let quadrature = 0;
  for (let i = 0; i < re.length; i += 1) {
    const sample = samples[at + i]!;
    inPhase += sample * re[i]!;
    quadrature += sample * im[i]!;
  }
  return inPhase * inPhase + quadrature * quadrature;
}

/** Samples that are added to at the end. */
class Growing {
  #room = new Float64Array(16_384);
  length = 0;

  push(samples: Float64Array): void {
    const needed = this.length + samples.length;
    if (needed > this.#room.length) {
      const room = new Float64Array(2 ** Math.ceil(Math.log2(needed)));
      room.set(this.#room.subarray(0, this.length));
      this.#room = room;
    }
    this.#room.set(samples, this.length);
    this.length = needed;
  }

  view(from: number, to: number): Float64Array {
    return this.#room.subarray(from, to);
  }
}
