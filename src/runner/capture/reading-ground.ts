import type { BenchSetup } from '../../bench/bench-setup.js';
import { type ChannelChain, type Load, loadVoltsPerUnit } from '../../calibration/chain.js';
import type { CurveReading } from '../../calibration/crossing-budget.js';
import { floorAt } from '../../calibration/floor.js';
import type { Settling } from '../../measure/settled.js';
import type { Reading } from '../../record/run-record.js';
import { decibelsOfVoltage } from '../../units/decibel.js';

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
