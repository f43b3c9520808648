import type { BenchSetup } from '../../bench/bench-setup.js';
import { type ChannelChain, type Load, loadVoltsPerUnit } from '../../calibration/chain.js';
import { correctedAnalysis } from '../../calibration/corrected-analysis.js';
import type { CurveReading } from '../../calibration/crossing-budget.js';
import { floorAt } from '../../calibration/floor.js';
import { nominalMatch } from '../../calibration/nominal-match.js';
import { powerBudget, voltageBudget } from '../../calibration/power-budget.js';
import { thdnBudget } from '../../calibration/thdn-budget.js';
import { warmResistance_ohm } from '../../calibration/warm-load.js';
import type { ChannelAnalysis } from '../../measure/analysis.js';
import type { FlagCode } from '../../measure/flags.js';
import type { Settling } from '../../measure/settled.js';
import type { DrawnSpectrum, Point, Reading } from '../../record/run-record.js';
import { decibelsOfVoltage, voltageRatio } from '../../units/decibel.js';
import { loadDiffers, loadSeen_ohm, type SensedCurrent } from './sensed-current.js';

/** Where a reading comes from, beside the samples themselves. */
export interface ReadingContext {
  readonly point: Point;
  readonly setup: BenchSetup;
  readonly chain: ChannelChain;
  readonly load: Load;
  /** Digital peak played on this channel. */
  readonly outputPeak: number;
  readonly settled: boolean;
  /** How the halves of the record compare; null: nobody looked. */
  readonly settling: Settling | null;
  /** Length of the record. */
  readonly seconds: number;
  /** First-order mean of the load's power during the record, for the power that the record shows. */
  readonly meanPower: (power_W: number) => number;
  /** What the current shunt gave; null where there is none. */
  readonly current: SensedCurrent | null;
  /** A calibration record of this channel or of the floor is past its due date. */
  readonly overdue: boolean;
  /** What the bench itself has to warn of. */
  readonly benchFlags: readonly FlagCode[];
  readonly spectrum: DrawnSpectrum | null;
}

/** A reading within this factor of the bench's own residue says more of the bench than of the unit. */
const FLOOR_MARGIN = voltageRatio(6);
/** One decibel below digital full scale. */
const NEAR_RAIL = voltageRatio(-1);

/**
 * Turns the analysis of one channel, in digital units, into volts and watts at the load: corrected for the chain's
 * response, with the load as warm as it is by the power that it got, and with the uncertainty of each figure.
 */
export function readingFrom(analysis: ChannelAnalysis, context: ReadingContext): Reading {
  const { point, chain, load, outputPeak, current } = context;
  const scale_V = loadVoltsPerUnit(chain);
  const level = correctedAnalysis(analysis, chain.response);
  const voltage_V = level.rms * scale_V;
  const load_measured_ohm = warm_ohm(voltage_V, context);
  const output_V = (outputPeak * chain.outputFullScale_Vpk) / Math.SQRT2;
  const reading: Reading = {
    point: point.number,
    step: point.step,
    channel: chain.channel,
    frequency_Hz: point.frequency_Hz,
    load_ohm: load.nominal_ohm,
    load_measured_ohm,
    power_W: voltage_V ** 2 / load_measured_ohm,
    uncertainty_W: null,
    voltage_V,
    voltage_uncertainty_V: null,
    current_A: current?.rms_A ?? null,
    load_seen_ohm: current && loadSeen_ohm(current),
    fundamental_V: level.fundamental_rms * scale_V,
    noise_V: level.noise_rms * scale_V,
    dc_V: level.dc * scale_V,
    peak_V: level.peak * scale_V,
    crest_factor: level.crest_factor,
    thd_percent: level.thd_percent,
    thdr_percent: level.thdr_percent,
    thdn_percent: level.thdn_percent,
    thdn_uncertainty_percent: null,
    sinad_dB: level.sinad_dB,
    harmonics: level.harmonics.map((harmonic) => ({ ...harmonic, rms: harmonic.rms * scale_V })),
    harmonics_in_band: level.harmonics_in_band,
    band_Hz: level.band_Hz,
    gain_dB: decibelsOfVoltage((level.fundamental_rms * scale_V) / output_V),
    method: level.method,
    flags: [],
    gaps: level.gaps,
    capture: null,
    spectrum: context.spectrum,
  };
  return judged(reading, analysis, context);
}

/** The power warms the load, which is what the power is computed with: two rounds settle that to parts in a million. */
function warm_ohm(voltage_V: number, { load, meanPower }: ReadingContext): number {
  let ohm = load.measured_ohm;
  for (let round = 0; round < 2; round += 1) ohm = warmResistance_ohm(load, meanPower(voltage_V ** 2 / ohm));
  return ohm;
}

/** The reading with its uncertainties and flags. */
function judged(reading: Reading, analysis: ChannelAnalysis, context: ReadingContext): Reading {
  const ground = groundOf(reading, context);
  const uncertainty_W = powerBudget(ground).expanded;
  const flags = [
    ...analysis.flags,
    ...context.benchFlags,
    ...found(analysis, context),
    ...(uncertainty_W === null ? (['uncalibrated'] as const) : []),
    ...(context.current && loadDiffers(context.current, ground) ? (['load-differs'] as const) : []),
  ];
  return {
    ...reading,
    uncertainty_W,
    voltage_uncertainty_V: voltageBudget(ground).expanded,
    thdn_uncertainty_percent: thdnBudget(ground).expanded,
    flags: [...new Set(flags)],
  };
}

/** What the record itself shows, before any correction: it is the converter that is near its rails or its floor. */
function found(analysis: ChannelAnalysis, { setup, load, settled, overdue }: ReadingContext): FlagCode[] {
  const floor_percent =
    setup.floor && floorAt(setup.floor, analysis.fundamental_Hz, levelAtInput_dB(analysis.rms));
  const flags: (FlagCode | false)[] = [
    !settled && 'not-settled',
    analysis.peak >= NEAR_RAIL && 'near-input-rail',
    floor_percent !== null && analysis.thdn_percent < floor_percent * FLOOR_MARGIN && 'floor-limited',
    overdue && 'calibration-overdue',
    nominalMatch(load.measured_ohm, load.nominal_ohm) !== 'near' && 'load-off-nominal',
  ];
  return flags.filter((flag) => flag !== false);
}

/** The part of a reading that its uncertainty rests on. */
export type FiguresOfReading = Pick<
  Reading,
  'frequency_Hz' | 'load_measured_ohm' | 'voltage_V' | 'noise_V' | 'thdn_percent' | 'harmonics' | 'band_Hz'
>;

/** Where a reading was taken. */
export interface ReadingPlace {
  readonly setup: Pick<BenchSetup, 'floor'>;
  readonly chain: ChannelChain;
  readonly load: Load;
  /** Length of the record. */
  readonly seconds: number;
  /** How the halves of the record compare; null: nobody looked, taken as alike. */
  readonly settling: Settling | null;
}

/** All that the uncertainty of a reading rests on. A reading from the database will do, too. */
export function groundOf(reading: FiguresOfReading, place: ReadingPlace): CurveReading {
  const { setup, chain, load, seconds, settling } = place;
  const { frequency_Hz, voltage_V, noise_V, thdn_percent, harmonics, band_Hz } = reading;
  return {
    chain,
    load,
    warm_ohm: reading.load_measured_ohm,
    frequency_Hz,
    voltage_V,
    noise_V,
    bandwidth_Hz: band_Hz[1] - band_Hz[0],
    seconds,
    levelMoved: settling?.level ?? 0,
    thdn_percent,
    harmonics,
    floor_percent: floorOf(setup, chain, frequency_Hz, voltage_V),
    residueMoved: settling?.residue ?? 0,
  };
}

/** What the bench reads of itself at a voltage at the load, percent; null: not stated. */
function floorOf(
  { floor }: Pick<BenchSetup, 'floor'>,
  chain: ChannelChain,
  frequency_Hz: number,
  voltage_V: number,
): number | null {
  return floor && floorAt(floor, frequency_Hz, levelAtInput_dB(voltage_V / loadVoltsPerUnit(chain)));
}

/** Level of an rms in digital units, relative to a sine at full scale. */
export function levelAtInput_dB(rms: number): number {
  return decibelsOfVoltage(Math.max(rms * Math.SQRT2, LEAST_LEVEL));
}

/** Keeps the logarithm of silence finite: below any converter. */
const LEAST_LEVEL = 1e-12;
