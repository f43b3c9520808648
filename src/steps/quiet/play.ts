import type { Block } from '../../bench/bench.js';
import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { type Silence, silenceOf } from '../../measure/silence.js';
import { TonePlayer } from '../../runner/capture/tone-player.js';
import { RunEnd, throwIfInterrupted } from '../../runner/course/run-end.js';
import type { Walk } from '../../runner/course/walk.js';
import { silentStimulus } from '../../signal/stimulus.js';
import { formatQuantity } from '../../units/format.js';
import type { QuietStep } from './plan.js';

const BAND_Hz = [20, 20_000] as const;

/** What a channel gave by itself over all records of a quiet step, in volts at the load. */
interface Heard {
  readonly channel: number;
  readonly records: Silence[];
}

/**
 * Plays nothing for the time of the step and reads each channel record by record: DC, hum and noise at the load.
 * Ends the run as soon as one of them passes the step's limit, and as a trip when DC passes the bench's.
 */
export async function playQuiet(walk: Walk, step: QuietStep): Promise<void> {
  const { bench, setup, signal } = walk.request;
  const player = new TonePlayer(bench, () => throwIfInterrupted(signal));
  const heard = step.measured.map((channel): Heard => ({ channel, records: [] }));
  // A power of two of about a second or more, as the transform wants it.
  const frames = 2 ** Math.ceil(Math.log2(setup.rate_Hz));
  const from = player.set(
    silentStimulus(frames, setup.rate_Hz),
    setup.channels.map(() => 0),
  );
  const rounds = Math.max(1, Math.round((step.seconds * setup.rate_Hz) / frames));
  try {
    for (let round = 1; round <= rounds; round += 1) {
      const records = await nextRecords(player, walk, step, { from, frames });
      for (const [i, samples] of records.entries()) {
        const silence = silenceOf(samples, setup.rate_Hz, bandOf(step, setup.rate_Hz));
        heard[i]!.records.push(silence);
        refuseIfBad(walk, step, heard[i]!.channel, silence);
      }
      walk.cool();
      walk.progress.advance(round / rounds);
    }
  } finally {
    await player.stop();
    for (const { channel, records } of heard)
      if (records.length > 0) await walk.note('quiet', `${step.id}: channel ${channel}: ${words(records)}`);
  }
}

const bandOf = (step: QuietStep, rate_Hz: number): readonly [number, number] =>
  step.band ?? [BAND_Hz[0], Math.min(BAND_Hz[1], 0.45 * rate_Hz)];

/** One record of each measured channel, in volts at the load. What is left of the last block is let go. */
async function nextRecords(
  player: TonePlayer,
  walk: Walk,
  step: QuietStep,
  { from, frames }: { readonly from: number; readonly frames: number },
): Promise<Float64Array[]> {
  const places = step.measured.map((channel) => ({
    index: walk.request.setup.channels.findIndex((chain) => chain.channel === channel),
    volts: loadVoltsPerUnit(walk.chain(channel)),
    record: new Float64Array(frames),
  }));
  for (let filled = 0; filled < frames; ) {
    const block: Block = await player.next();
    if (block.start < from) continue;
    const take = Math.min(frames - filled, block.channels[0]!.length);
    for (const { index, volts, record } of places)
      for (let n = 0; n < take; n += 1) record[filled + n] = volts * block.channels[index]![n]!;
    filled += take;
  }
  return places.map(({ record }) => record);
}

function refuseIfBad(walk: Walk, step: QuietStep, channel: number, { dc, noise_rms }: Silence): void {
  const limit = walk.request.setup.dcLimit_V;
  const size = Math.abs(dc);
  const found = `${step.id}, channel ${channel}: ${formatQuantity(dc, 'V')} of DC with nothing playing`;
  if (size > limit)
    throw new RunEnd('tripped', `${found}, more than the bench's limit of ${formatQuantity(limit, 'V')}`);
  if (step.mostDc_V !== null && size > step.mostDc_V)
    throw new RunEnd('stopped', `${found}, more than ${formatQuantity(step.mostDc_V, 'V')}`);
  if (step.mostNoise_V !== null && noise_rms > step.mostNoise_V)
    throw new RunEnd(
      'stopped',
      `${step.id}, channel ${channel}: ${formatQuantity(noise_rms, 'V')} of noise and hum with nothing playing, more than ${formatQuantity(step.mostNoise_V, 'V')}`,
    );
}

/** The largest DC, and noise and hum over all records. */
function words(records: readonly Silence[]): string {
  const rms = (values: readonly number[]) =>
    Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length);
  const dc = records.reduce((most, { dc }) => (Math.abs(dc) > Math.abs(most) ? dc : most), 0);
  const noise = rms(records.map(({ noise_rms }) => noise_rms));
  const hum = rms(records.map((record) => record.hum.rms));
  const { mains_Hz } = records.at(-1)!.hum;
  return (
    `DC ${formatQuantity(dc, 'V')}, noise and hum ${formatQuantity(noise, 'V')} rms, ` +
    `of it ${formatQuantity(hum, 'V')} at multiples of ${mains_Hz} Hz`
  );
}
