import type { ChannelChain } from '../../calibration/chain.js';
import { nominalMatch } from '../../calibration/nominal-match.js';
import type { Point, Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { formatQuantity } from '../../units/format.js';
import { powersOf } from '../course/load-heat.js';
import { RunEnd } from '../course/run-end.js';
import type { MeasuredPoint } from '../course/run-request.js';
import type { StepStage } from '../course/walk.js';
import type { DrawnAnalysis } from './analyse-by-pairs.js';
import { peakFor } from './drive.js';
import { readingFrom } from './reading.js';
import { sensedCurrent } from './sensed-current.js';
import type { SettledCapture } from './settled-capture.js';
import { type Aim, captureAndAnalyse, type Follower, loudestLevel } from './take-record.js';

/** Plays one setting, waits until it has settled, and reads every measured channel. Stores nothing. */
export async function measurePoint(stage: StepStage, aim: Aim, follower?: Follower): Promise<MeasuredPoint> {
  const begun_s = stage.walk.at_s();
  const { capture, analyses } = await captureAndAnalyse(stage, aim, follower);
  return readPoint(stage, { aim, begun_s, capture, analyses });
}

/** A record of what plays, already analysed, and when it began. */
export interface TakenRecord {
  readonly aim: Aim;
  readonly begun_s: number;
  readonly capture: SettledCapture;
  readonly analyses: readonly DrawnAnalysis[];
}

/** Turns a record of what plays into a point, tells the watch what to expect, and the loads how warm they got. */
export function readPoint(stage: StepStage, { aim, begun_s, capture, analyses }: TakenRecord): MeasuredPoint {
  const { walk, step } = stage;
  const { setup } = walk.request;
  const chains = step.measured.map((channel) => walk.chain(channel));
  const loads = step.measured.map((channel) => walk.load(channel, step.load_ohm));
  const peaks = chains.map((chain, i) => peakFor(chain, aim.outputs_V[i]!));
  const point: Point = {
    number: walk.nextPoint,
    step: step.id,
    stepKind: step.kind,
    nominal_Hz: aim.tone.nominal_Hz,
    frequency_Hz: aim.tone.frequency_Hz,
    driven: step.driven,
    load_ohm: step.load_ohm,
    mains_V: step.mains_V,
    cell: step.cell,
    level_dB: loudestLevel(peaks),
    asked_W: aim.asked_W,
    at_s: begun_s,
  };
  const benchFlags = walk.request.bench.flags ?? [];
  const record_s = aim.tone.frames / aim.tone.rate_Hz;
  const seconds = walk.at_s() - begun_s;
  walk.heat.upTo(step, begun_s);
  const taken = analyses.map((analysis, i) =>
    readingFrom(analysis, {
      point,
      benchFlags,
      setup,
      chain: chains[i]!,
      load: loads[i]!,
      outputPeak: peaks[i]!,
      settled: capture.settled,
      settling: capture.settlings?.[i] ?? null,
      seconds: record_s,
      meanPower: (power_W) => walk.heat.during(chains[i]!.channel, loads[i]!, power_W, seconds, record_s),
      current: currentOf(capture, i, chains[i]!, aim.tone),
      overdue: walk.overdue.has(chains[i]!.channel),
      spectrum: analysis.drawn,
    }),
  );
  taken.forEach(requireMeantLoad);
  const readings = taken.map((reading) => walk.unit.compared(point, reading));
  const settlings = readings.map((_, i) => capture.settlings?.[i] ?? null);
  readings.forEach((reading, i) => {
    walk.unit.rememberSettling(reading, settlings[i]!);
  });
  heatLoads(stage, readings, seconds);
  stage.learn(gainsOf(readings, peaks));
  const samples = step.measured.map((channel, i) => ({ channel, samples: capture.channels[i]! }));
  return { point, readings, capture: { rate_Hz: setup.rate_Hz, channels: samples }, settlings };
}

/**
 * Ends a run whose current shunt shows so few ohms that another load hangs there: at every level it takes more watts than the
 * plan was made for. More ohms than meant harm nothing and are flagged.
 *
 * @throws RunEnd
 */
function requireMeantLoad({ channel, flags, load_seen_ohm, load_ohm }: Reading): void {
  if (load_seen_ohm === null || load_seen_ohm > load_ohm || !flags.includes('load-differs')) return;
  if (nominalMatch(load_seen_ohm, load_ohm) !== 'another') return;
  const [seen, meant] = [load_seen_ohm, load_ohm].map((ohms) => formatQuantity(ohms, 'ohm', { trim: true }));
  throw new RunEnd(
    'another-load',
    `channel ${channel}: the current shunt shows ${seen} where the load of ${meant} is meant: another load is connected`,
  );
}

/** What a reading tells of a channel that plays: load volts per unit of digital peak. */
function gainsOf(readings: readonly Reading[], peaks: readonly number[]): Map<number, number> {
  const playing = readings.flatMap(({ channel, voltage_V }, i) =>
    peaks[i]! > 0 ? [[channel, voltage_V / peaks[i]!] as const] : [],
  );
  return new Map(playing);
}

/** Tells the loads what they got over the last `seconds`. */
export function heatLoads(
  { walk, step }: StepStage,
  powers: readonly { readonly channel: number; readonly power_W: number }[],
  seconds: number,
): void {
  walk.heat.upTo(step, walk.at_s() - seconds);
  walk.heat.warm(step, powersOf(step.driven, powers));
}

function currentOf(capture: SettledCapture, index: number, chain: ChannelChain, tone: CoherentTone) {
  const { current } = chain;
  const samples = capture.currents?.[index];
  if (!current || !samples) return null;
  return sensedCurrent(capture.channels[index]!, samples, { ...chain, current }, tone);
}
