import type { BenchSetup } from '../../bench/bench-setup.js';
import type { ChannelChain, Load } from '../../calibration/chain.js';
import { inputError } from '../../errors/error-table.js';
import type { Band, ChannelAnalysis } from '../../measure/analysis.js';
import type { FlagCode } from '../../measure/flags.js';
import type { Settling } from '../../measure/settled.js';
import type { Point, Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { voltageRatio } from '../../units/decibel.js';
import { analyseByPairs } from './analyse-by-pairs.js';
import { readingFrom } from './reading.js';

/** A point with the samples that were kept of it. */
export interface KeptPoint {
  readonly point: Point;
  readonly rate_Hz: number;
  /** What each channel gave then, how its record had settled (null: not known), and its samples: digital full scale = 1. */
  readonly channels: readonly {
    readonly reading: Reading;
    readonly settling: Settling | null;
    readonly samples: Float64Array;
  }[];
}

/** The bench of a run does not have what its readings speak of. */
export const RemeasureMisfit = inputError(
  'REMEASURE_MISFIT',
  ({ load_ohm, channel, point }: Reading, bench: string) => ({
    what: `the bench of the run has no ${load_ohm} ohm load on a channel ${channel}, which point ${point} speaks of`,
    where: bench,
  }),
);

/** Flags that the samples and the calibration decide. All others were told by what is not in a capture. */
const FROM_SAMPLES: readonly FlagCode[] = [
  'harmonics-out-of-band',
  'no-harmonic-in-band',
  'gap-in-capture',
  'near-input-rail',
  'clock-mismatch',
  'floor-limited',
  'uncalibrated',
  'no-tone',
];

/**
 * Computes the readings of a point again from its samples, with the code of today.
 *
 * What a capture does not hold is taken as it was: the measuring band, the power that the load had been warmed by, the
 * level that was played, what a current shunt gave, and the flags that come from elsewhere. The drawn spectrum is not
 * drawn again.
 *
 * @param setup bench and calibration of the run
 * @throws RemeasureMisfit when the bench has no such channel or load
 */
export async function remeasurePoint(setup: BenchSetup, kept: KeptPoint): Promise<Reading[]> {
  const tone = toneOf(kept);
  const band = bandOf(kept);
  const records = kept.channels.map(({ samples }) => samples);
  const analyses = await analyseByPairs(records, tone, band);
  return analyses.map((analysis, i) => reread(setup, kept, i, analysis));
}

/** The band that a step had asked for. Where channels differ it had asked for none, and each had the default for its tone. */
function bandOf({ channels }: KeptPoint): Band | null {
  const [first, ...others] = channels.map(({ reading }) => reading.band_Hz);
  const same = others.every(([low, high]) => low === first![0] && high === first![1]);
  return same && first!.every(Number.isFinite) ? first! : null;
}

function toneOf({ point, rate_Hz, channels }: KeptPoint): CoherentTone {
  const { nominal_Hz, frequency_Hz } = point;
  const frames = channels[0]!.samples.length;
  return { nominal_Hz, frequency_Hz, frames, rate_Hz, cycles: Math.round((frequency_Hz * frames) / rate_Hz) };
}

function reread(setup: BenchSetup, kept: KeptPoint, index: number, analysis: ChannelAnalysis): Reading {
  const { point, rate_Hz, channels } = kept;
  const { reading: then, settling, samples } = channels[index]!;
  const { chain, load } = placeOf(setup, then);
  const now = readingFrom(analysis, {
    point,
    setup,
    chain,
    load,
    outputPeak: peakPlayed(then, chain),
    settled: true,
    settling,
    seconds: samples.length / rate_Hz,
    meanPower: () => meanPowerBehind(then, load),
    current: null,
    overdue: false,
    benchFlags: [],
    spectrum: then.spectrum,
  });
  // One capture shows that the wave breaks off; that others did so too, and in step, was told then.
  const inStep = then.flags.includes('break-in-step');
  const found = now.flags.filter(
    (flag) => FROM_SAMPLES.includes(flag) && !(inStep && flag === 'gap-in-capture'),
  );
  const told = then.flags.filter((flag) => !FROM_SAMPLES.includes(flag));
  return {
    ...now,
    current_A: then.current_A,
    load_seen_ohm: then.load_seen_ohm,
    capture: then.capture,
    flags: [...found, ...told],
  };
}

function placeOf(setup: BenchSetup, reading: Reading): { chain: ChannelChain; load: Load } {
  const { channel, load_ohm } = reading;
  const chain = setup.channels.find((one) => one.channel === channel);
  const load = chain?.loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm);
  if (chain && load) return { chain, load };
  throw new RemeasureMisfit(reading, setup.name);
}

/** Digital peak that a channel was driven with: a point only keeps that of the loudest, a reading the gain. */
function peakPlayed({ fundamental_V, gain_dB }: Reading, chain: ChannelChain): number {
  return (fundamental_V * Math.SQRT2) / (voltageRatio(gain_dB) * chain.outputFullScale_Vpk);
}

/** The mean power that had warmed the load, by the ohms that it had. */
function meanPowerBehind({ load_measured_ohm }: Reading, load: Load): number {
  const share_per_W = load.tempco_per_K * load.heating_K_per_W;
  return share_per_W === 0 ? 0 : (load_measured_ohm / load.measured_ohm - 1) / share_per_W;
}
