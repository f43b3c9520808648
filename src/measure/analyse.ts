import type { Band, ChannelAnalysis } from './analysis.js';
import { coherentParts } from './coherent-parts.js';
import { bandFlags, bandFor } from './default-band.js';
import { readSpectra, type Spectrum } from './fft.js';
import { fittedParts, pieces } from './fitted-parts.js';
import type { FlagCode } from './flags.js';
import { type FrequencyRange, findTone, LEAST_CYCLES } from './fundamental.js';
import { findGaps } from './gaps.js';
import { levelOf, type SampleLevel } from './level.js';
import { ImpossibleRequest } from './measure-errors.js';
import { leakingLine } from './outside-lines.js';
import { bandRms, binsOf, distortionOf, type Parts } from './parts.js';
import { holdsWholeCycles } from './whole-cycles.js';

export interface AnalysisOptions {
  readonly rate_Hz: number;
  /** Measuring band; left out or null: the default for the fundamental found. */
  readonly band?: Band | null;
  /** Roughly expected frequency: the tone is looked for within 10 % of it. */
  readonly frequency_Hz?: number | null;
  /** The tone that was played: `cycles` in `frames`. Looked for within 0.5 %; any difference is a clock's. */
  readonly tone?: { readonly cycles: number; readonly frames: number } | null;
  /** False leaves the search for gaps out. */
  readonly gaps?: boolean;
}

/** Records beyond this are always fitted, piece by piece. */
const LONGEST_COHERENT = 2 ** 22;
const SHORTEST_COHERENT = 64;
/** THD+N of a tone that holds half of the power in the band. */
const HALF_THE_POWER_PERCENT = 100 * Math.SQRT1_2;

/**
 * Measures every channel of one record.
 *
 * A power-of-two record that holds a whole number of cycles is read bin by bin (`coherent`); anything
 * else, from about three cycles up, by a fit of the tone with its harmonics (`fitted`). A channel
 * without a tone gets the flag `no-tone`, fundamental 0 Hz and 0 rms, THD null, THD+N 100 % and SINAD 0 dB,
 * and all of its power in the band is `noise_rms`. No figure is ever NaN or infinite
 * (for samples below 1e100, whose squares still have room).
 *
 * @param channels one array of samples a channel; figures come out in the same unit
 * @returns one analysis a channel, in order
 * @throws NonFiniteSamples, ImpossibleRequest
 */
export function analyse(channels: readonly Float64Array[], options: AnalysisOptions): ChannelAnalysis[] {
  return analyseWith(channels, options, (analysis) => analysis);
}

/**
 * As `analyse`, for who also wants to draw the spectra: a transform is the dearest part of an analysis.
 *
 * @param use called for one channel after the other, with the spectrum of its whole record if one was taken on the way;
 *   the spectrum is overwritten as soon as this returns
 * @returns what `use` returned
 */
export function analyseWith<T>(
  channels: readonly Float64Array[],
  options: AnalysisOptions,
  use: (analysis: ChannelAnalysis, spectrum: Spectrum | null, i: number) => T,
): T[] {
  const expected = expectation(options);
  const levels = channels.map((samples, i) => levelOf(samples, i + 1));
  const peaks = levels.map((level) => level.peak);
  const lookAt = (spectrum: Spectrum | null, i: number) => {
    const samples = channels[i]!;
    const parts =
      coherent(spectrum, expected, options) ??
      fittedParts(samples, expected?.range ?? null, (f) => bandOf(options, f), options.rate_Hz);
    const analysis = parts
      ? withTone(samples, levels[i]!, parts, expected, options)
      : withoutTone(samples, levels[i]!, options);
    return use(analysis, spectrum, i);
  };
  return mayHoldWholeCycles(channels)
    ? readSpectra(channels, channels[0]!.length, lookAt, peaks)
    : channels.map((_, i) => lookAt(null, i));
}

interface Expectation {
  /** Frequency over rate. */
  readonly cyclesPerSample: number;
  readonly range: FrequencyRange;
}

function expectation(options: AnalysisOptions): Expectation | null {
  const { rate_Hz, frequency_Hz, tone } = options;
  if (!(rate_Hz > 0)) {
    throw new ImpossibleRequest({ what: `the sample rate is ${rate_Hz} Hz`, mend: 'It must be above 0' });
  }
  bandFor(options.band ?? null, 0, rate_Hz);
  const cyclesPerSample = tone ? tone.cycles / tone.frames : frequency_Hz ? frequency_Hz / rate_Hz : null;
  if (cyclesPerSample === null) return null;
  if (!(cyclesPerSample > 0 && cyclesPerSample < 0.5)) {
    throw new ImpossibleRequest({
      what: `a tone of ${cyclesPerSample * rate_Hz} Hz cannot be in a record at ${rate_Hz} samples per second`,
      mend: `Expect a frequency above 0 Hz and below ${rate_Hz / 2} Hz`,
    });
  }
  const reach = tone ? 0.005 : 0.1;
  return {
    cyclesPerSample,
    range: [cyclesPerSample * (1 - reach), cyclesPerSample * (1 + reach)],
  };
}

/** Whether the records have a length whose spectrum is worth taking; all of one length share transforms. */
function mayHoldWholeCycles(channels: readonly Float64Array[]): boolean {
  const frames = channels[0]?.length ?? 0;
  const fits =
    Number.isInteger(Math.log2(frames)) && frames >= SHORTEST_COHERENT && frames <= LONGEST_COHERENT;
  return fits && channels.every((samples) => samples.length === frames);
}

function coherent(
  spectrum: Spectrum | null,
  expected: Expectation | null,
  options: AnalysisOptions,
): Parts | null {
  if (!spectrum) return null;
  const { frames } = spectrum;
  const [low, high] = expected?.range ?? [0, 0.5];
  const cycles = findTone(spectrum, {
    from: Math.max(LEAST_CYCLES, Math.round(low * frames)),
    to: Math.round(high * frames),
    halfLobe: 1,
    expected: expected !== null,
  });
  if (cycles === null || !holdsWholeCycles(spectrum, cycles)) return null;
  const band = bandOf(options, (cycles * options.rate_Hz) / frames);
  const parts = coherentParts(spectrum, cycles, band, options.rate_Hz);
  const bins = binsOf(band, options.rate_Hz / frames, frames);
  // Only a fit can take off what does not fit the record.
  return leakingLine(spectrum, bins, parts.noise_rms ** 2, cycles) === null ? parts : null;
}

function bandOf(options: AnalysisOptions, fundamental_Hz: number): Band {
  return bandFor(options.band ?? null, fundamental_Hz, options.rate_Hz);
}

function withTone(
  samples: Float64Array,
  level: SampleLevel,
  parts: Parts,
  expected: Expectation | null,
  options: AnalysisOptions,
): ChannelAnalysis {
  const { cyclesPerSample, fundamental_rms } = parts;
  const fundamental_Hz = cyclesPerSample * options.rate_Hz;
  const clock_ppm = expected && clockMismatch_ppm(cyclesPerSample, expected.cyclesPerSample);
  const gaps = options.gaps === false ? [] : findGaps(samples, cyclesPerSample, level.dc);
  const figures = figuresOf(parts, level, options);
  const flags: FlagCode[] = bandFlags(figures.band_Hz, fundamental_Hz);
  if (figures.thdn_percent > HALF_THE_POWER_PERCENT) flags.push('tone-not-strongest');
  if (Math.abs(parts.dc) > fundamental_rms * Math.SQRT2) flags.push('dc-exceeds-tone');
  if (gaps.length > 0) flags.push('gap-in-capture');
  // A break in the time line shifts the frequency too: then it says nothing about clocks.
  else if (wholeCyclesBroken(samples, parts, options) && clocksDiffer(clock_ppm!))
    flags.push('clock-mismatch');
  return { ...figures, clock_ppm, gaps, flags };
}

function figuresOf(
  { method, cyclesPerSample, fundamental_rms, phase_rad, dc, harmonics, noise_rms }: Parts,
  { peak, crest_factor }: SampleLevel,
  options: AnalysisOptions,
) {
  const fundamental_Hz = cyclesPerSample * options.rate_Hz;
  return {
    method,
    fundamental_Hz,
    fundamental_rms,
    fundamental_phase_rad: phase_rad,
    ...distortionOf(fundamental_rms, harmonics, noise_rms),
    noise_rms,
    dc,
    peak,
    crest_factor,
    harmonics,
    harmonics_in_band: harmonics.length,
    band_Hz: bandOf(options, fundamental_Hz),
  };
}

/** Whole cycles were played for this very record, but it does not hold them. */
function wholeCyclesBroken(samples: Float64Array, { method }: Parts, { tone }: AnalysisOptions): boolean {
  return method === 'fitted' && tone?.frames === samples.length && Number.isInteger(tone.cycles);
}

function withoutTone(samples: Float64Array, level: SampleLevel, options: AnalysisOptions): ChannelAnalysis {
  const { dc } = level;
  const alternating = pieces(samples).map((piece) => piece.map((x) => x - dc));
  const noise_rms = samples.length === 0 ? 0 : bandRms(alternating, bandOf(options, 0), options.rate_Hz);
  const nothing = { cyclesPerSample: 0, fundamental_rms: 0, phase_rad: 0, harmonics: [] };
  return {
    ...figuresOf({ method: 'fitted', ...nothing, dc, noise_rms }, level, options),
    clock_ppm: null,
    gaps: [],
    flags: ['no-tone'],
  };
}

/** Parts per million by which a found frequency differs from the expected one. */
export function clockMismatch_ppm(found: number, expected: number): number {
  return (found / expected - 1) * 1e6;
}

/** Differences below this need no second clock: hum beside a bass tone pulls its frequency as far. */
const LEAST_PPM = 0.5;

/** Whether a difference is large enough to speak of two clocks. */
function clocksDiffer(mismatch_ppm: number): boolean {
  return Math.abs(mismatch_ppm) >= LEAST_PPM;
}
