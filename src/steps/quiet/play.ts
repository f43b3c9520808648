import type { SoundBlock } from '../../bench/bench.js';
import { loadVoltsPerUnit } from '../../calibration/chain.js';
import type { Band } from '../../measure/analysis.js';
import { type Silence, silenceOf } from '../../measure/silence.js';
import { againIfLost } from '../../runner/capture/again-if-lost.js';
import { TonePlayer } from '../../runner/capture/tone-player.js';
import { typedReading } from '../../runner/course/confirm.js';
import { RunEnd, throwIfInterrupted } from '../../runner/course/run-end.js';
import type { Walk } from '../../runner/course/walk.js';
import { silentStimulus } from '../../signal/stimulus.js';
import { formatQuantity } from '../../units/format.js';
import type { QuietStep } from './plan.js';
import { meterFinding, type QuietChannel, quietFindings } from './quiet-findings.js';

const BAND_Hz = [20, 20_000] as const;

/**
 * Plays nothing for the time of the step and reads each channel record by record: DC, hum and noise at the load.
 * Ends the run as soon as one of them passes the step's limit, and as a trip when DC passes the bench's. What was heard until
 * then is told all the same.
 */
export async function playQuiet(walk: Walk, step: QuietStep): Promise<void> {
  const { setup } = walk.request;
  // A power of two of about a second or more, as the transform wants it.
  const frames = 2 ** Math.ceil(Math.log2(setup.rate_Hz));
  const band_Hz = bandOf(step, setup.rate_Hz);
  if (step.asksDc) await askForDc(walk, step);
  const heard = step.measured.map((channel): QuietChannel => ({ channel, records: [] }));
  const end = await listen(walk, step, { frames, band_Hz, heard });
  const seconds = (frames * heard[0]!.records.length) / setup.rate_Hz;
  for (const one of heard)
    for (const finding of quietFindings(walk.chain(one.channel), step, one, { seconds, band_Hz }))
      await walk.emit({ kind: 'finding', finding });
  if (end) throw end;
}

/** Has the DC that a meter shows at each output typed in, and told. @throws RunEnd where one passes a limit */
async function askForDc(walk: Walk, step: QuietStep): Promise<void> {
  for (const channel of step.measured) {
    const text = `DC at the output of channel ${channel} by meter, in mV (empty: not measured):`;
    const dc_V = await typedReading(walk, { about: 'sequence', text }, 'V');
    if (dc_V === null) continue;
    await walk.emit({ kind: 'finding', finding: meterFinding(step, channel, dc_V) });
    const end = endForDc(
      walk,
      step,
      `${step.id}, channel ${channel}: ${formatQuantity(dc_V, 'V')} of DC by meter`,
      dc_V,
    );
    if (end) throw end;
  }
}

/** What is listened to, and how. */
interface Listening {
  readonly frames: number;
  readonly band_Hz: Band;
  readonly heard: readonly QuietChannel[];
}

/** Takes record after record until the time is over, or a limit is passed: then gives the end that it calls for. */
async function listen(
  walk: Walk,
  step: QuietStep,
  { frames, band_Hz, heard }: Listening,
): Promise<RunEnd | null> {
  const { bench, setup, signal } = walk.request;
  const player = new TonePlayer(bench, () => throwIfInterrupted(signal));
  let from: number | null = null;
  const next = async (): Promise<Float64Array[]> => {
    const noPeaks = setup.channels.map(() => 0);
    from ??= player.set(silentStimulus(frames, setup.rate_Hz), noPeaks);
    try {
      return await nextRecords(player, walk, step, { from, frames });
    } catch (error) {
      from = null;
      await player.stop();
      throw error;
    }
  };
  const rounds = Math.max(1, Math.round((step.seconds * setup.rate_Hz) / frames));
  try {
    for (let round = 1; round <= rounds; round += 1) {
      const records = await againIfLost(walk, 'the silence is recorded', next);
      records.forEach((samples, i) => {
        heard[i]!.records.push(silenceOf(samples, setup.rate_Hz, band_Hz));
      });
      const end = heard
        .map(({ channel, records: own }) => endFor(walk, step, channel, own.at(-1)!))
        .find((one) => one !== null);
      if (end) return end;
      walk.heat.cool();
      walk.progress.advance(round / rounds);
    }
  } finally {
    await player.stop();
  }
  return null;
}

const bandOf = (step: QuietStep, rate_Hz: number): Band =>
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
    const block: SoundBlock = await player.next();
    if (block.start < from) continue;
    const take = Math.min(frames - filled, block.channels[0]!.length);
    for (const { index, volts, record } of places)
      for (let n = 0; n < take; n += 1) record[filled + n] = volts * block.channels[index]![n]!;
    filled += take;
  }
  return places.map(({ record }) => record);
}

/** The end of the run that a silence calls for; null when it is within all limits. */
function endFor(walk: Walk, step: QuietStep, channel: number, { dc, noise_rms }: Silence): RunEnd | null {
  const found = `${step.id}, channel ${channel}: ${formatQuantity(dc, 'V')} of DC with nothing playing`;
  const end = endForDc(walk, step, found, dc);
  if (end) return end;
  if (step.mostNoise_V !== null && noise_rms > step.mostNoise_V)
    return new RunEnd(
      'sequence-limit',
      `${step.id}, channel ${channel}: ${formatQuantity(noise_rms, 'V')} of noise and hum with nothing playing, more than ${formatQuantity(step.mostNoise_V, 'V')}`,
    );
  return null;
}

function endForDc(walk: Walk, step: QuietStep, found: string, dc_V: number): RunEnd | null {
  const limit = walk.request.setup.dcLimit_V;
  const size = Math.abs(dc_V);
  if (size > limit)
    return new RunEnd(
      'safety-limit',
      `${found}, more than the bench's limit of ${formatQuantity(limit, 'V')}`,
    );
  if (step.mostDc_V !== null && size > step.mostDc_V)
    return new RunEnd('sequence-limit', `${found}, more than ${formatQuantity(step.mostDc_V, 'V')}`);
  return null;
}
