import type { BenchSetup } from '../bench/bench-setup.js';
import { type ChannelChain, type Load, loadVoltsPerUnit } from '../calibration/chain.js';
import { floorAt } from '../calibration/floor.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { budgetOf, weighed } from '../measure/budget.js';
import type { FlagCode } from '../measure/flags.js';
import type { Point, Reading, Spectrum } from '../record/run-record.js';

/** Where a reading comes from, beside the samples themselves. */
export interface ReadingContext {
  readonly point: Point;
  readonly setup: BenchSetup;
  readonly chain: ChannelChain;
  readonly load: Load;
  /** Digital peak played on this channel. */
  readonly outputPeak: number;
  readonly settled: boolean;
  /** What the bench itself has to warn of. */
  readonly benchFlags: readonly FlagCode[];
  readonly spectrum: Spectrum | null;
}

/** A reading within this factor of the bench's own residue says more of the bench than of the unit. */
const FLOOR_MARGIN = 10 ** (6 / 20);
/** One decibel below digital full scale. */
const NEAR_RAIL = 10 ** (-1 / 20);

/** Turns the analysis of one channel, in digital units, into volts and watts at the load. */
export function readingFrom(analysis: ChannelAnalysis, context: ReadingContext): Reading {
  const { point, chain, load, outputPeak } = context;
  const scale_V = loadVoltsPerUnit(chain);
  const voltage_V = analysis.rms * scale_V;
  const power_W = voltage_V ** 2 / load.measured_ohm;
  const output_V = (outputPeak * chain.outputFullScale_Vpk) / Math.SQRT2;
  const uncertainty_percent = powerUncertainty(chain, load);
  return {
    point: point.number,
    step: point.step,
    channel: chain.channel,
    frequency_Hz: point.frequency_Hz,
    load_ohm: load.nominal_ohm,
    load_measured_ohm: load.measured_ohm,
    power_W,
    uncertainty_W: uncertainty_percent === null ? null : (power_W * uncertainty_percent) / 100,
    voltage_V,
    voltage_uncertainty_V: null,
    current_A: null,
    load_seen_ohm: null,
    fundamental_V: analysis.fundamental_rms * scale_V,
    noise_V: analysis.noise_rms * scale_V,
    dc_V: analysis.dc * scale_V,
    peak_V: analysis.peak * scale_V,
    crest_factor: analysis.crest_factor,
    thd_percent: analysis.thd_percent,
    thdr_percent: analysis.thdr_percent,
    thdn_percent: analysis.thdn_percent,
    thdn_uncertainty_percent: null,
    sinad_dB: analysis.sinad_dB,
    harmonics: analysis.harmonics.map((harmonic) => ({ ...harmonic, rms: harmonic.rms * scale_V })),
    harmonics_in_band: analysis.harmonics_in_band,
    band_Hz: analysis.band_Hz,
    gain_dB: 20 * Math.log10((analysis.fundamental_rms * scale_V) / output_V),
    method: analysis.method,
    flags: flagsOf(analysis, context),
    gaps: analysis.gaps,
    capture: null,
    spectrum: context.spectrum,
  };
}

/** Expanded uncertainty of a power on this channel and load, percent; null when a part states none. */
export function powerUncertainty(chain: ChannelChain, load: Load): number | null {
  const { inputStated, attenuatorStated } = chain;
  if (!inputStated || !attenuatorStated || !load.stated) return null;
  const components = [...weighed([...inputStated, ...attenuatorStated], 2), ...weighed(load.stated, -1)];
  return budgetOf({ quantity: 'power', value: 1, unit: 'W', components }).expanded_percent;
}

function flagsOf(analysis: ChannelAnalysis, context: ReadingContext): FlagCode[] {
  const { setup, chain, load, settled } = context;
  const level_dB = 20 * Math.log10(analysis.rms * Math.SQRT2);
  const floor_percent = setup.floor && floorAt(setup.floor, analysis.fundamental_Hz, level_dB);
  const found: (FlagCode | false)[] = [
    !settled && 'not-settled',
    analysis.peak >= NEAR_RAIL && 'near-input-rail',
    floor_percent !== null && analysis.thdn_percent < floor_percent * FLOOR_MARGIN && 'floor-limited',
    powerUncertainty(chain, load) === null && 'uncalibrated',
  ];
  return [...new Set([...analysis.flags, ...context.benchFlags, ...found.filter((flag) => flag !== false)])];
}
