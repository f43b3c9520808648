import { BenchFault } from '../errors/ohmest-error.js';
import { drawableSpectrum } from '../measure/drawable-spectrum.js';
import { halvesAgree } from '../measure/settled.js';
import type { Point, Reading } from '../record/run-record.js';
import type { CoherentTone } from '../stimulus/coherent-tone.js';
import { analyseByPairs } from './analyse-by-pairs.js';
import { peakFor } from './drive.js';
import { readingFrom } from './reading.js';
import { throwIfInterrupted } from './run-end.js';
import type { PointCapture } from './run-event.js';
import { captureSettled, type SettledCapture } from './settled-capture.js';
import type { StepStage } from './walk.js';

/** Samples were lost in every capture of a point: the path cannot be trusted. */
export class CaptureDamaged extends BenchFault {
  readonly code = 'CAPTURE_DAMAGED';
}

/** One setting to be read. */
export interface Aim {
  readonly tone: CoherentTone;
  /** Interface output volts (rms) of each driven channel, in the order of the step's `driven`. */
  readonly outputs_V: readonly number[];
  readonly asked_W: number | null;
}

/** A setting that has been read. */
export interface MeasuredPoint {
  readonly point: Point;
  readonly readings: readonly Reading[];
  readonly capture: PointCapture;
}

const CAPTURE_TRIES = 3;

/** Plays one setting, waits until it has settled, and reads every driven channel. Stores nothing. */
export async function measurePoint(stage: StepStage, aim: Aim): Promise<MeasuredPoint> {
  const { walk, step } = stage;
  const { setup } = walk.request;
  const chains = step.driven.map((channel) => walk.chain(channel));
  const loads = step.driven.map((channel) => walk.load(channel, step.load_ohm));
  const peaks = chains.map((chain, i) => peakFor(chain, aim.outputs_V[i]!));
  const begun_s = walk.at_s();
  const { capture, analyses } = await captureAndAnalyse(stage, aim, peaks);
  const seconds = walk.at_s() - begun_s;

  const point: Point = {
    number: walk.nextPoint,
    step: step.id,
    stepKind: step.kind,
    nominal_Hz: aim.tone.nominal_Hz,
    frequency_Hz: aim.tone.frequency_Hz,
    driven: step.driven,
    load_ohm: step.load_ohm,
    level_dB: 20 * Math.log10(Math.max(...peaks)),
    asked_W: aim.asked_W,
    at_s: begun_s,
  };
  const benchFlags = walk.request.bench.flags ?? [];
  const readings = analyses.map((analysis, i) =>
    readingFrom(analysis, {
      point,
      benchFlags,
      setup,
      chain: chains[i]!,
      load: loads[i]!,
      outputPeak: peaks[i]!,
      settled: capture.settled,
      spectrum: drawableSpectrum(capture.channels[i]!, {
        rate_Hz: setup.rate_Hz,
        fundamental_Hz: analysis.fundamental_Hz,
      }),
    }),
  );
  for (const [i, reading] of readings.entries())
    walk.heat.add(reading.channel, loads[i]!, reading.power_W, seconds);
  stage.expect(new Map(readings.map((reading) => [reading.channel, reading.voltage_V])));
  const samples = step.driven.map((channel, i) => ({ channel, samples: capture.channels[i]! }));
  return { point, readings, capture: { rate_Hz: setup.rate_Hz, channels: samples } };
}

/** Takes captures until one has no gap. */
async function captureAndAnalyse(stage: StepStage, aim: Aim, peaks: readonly number[]) {
  const { walk, step, player } = stage;
  const byBenchChannel = walk.request.setup.channels.map(({ channel }) => {
    const index = step.driven.indexOf(channel);
    return index < 0 ? 0 : peaks[index]!;
  });
  stage.expect(null);
  let from = player.set(aim.tone, byBenchChannel);
  for (let tries = 1; ; tries += 1) {
    const capture = await record(stage, aim.tone, from, 20 * Math.log10(Math.max(...peaks)));
    const analyses = await analyseByPairs(capture.channels, aim.tone, step.band);
    const damaged = analyses.findIndex((analysis) => analysis.gaps.length > 0);
    if (damaged < 0) return { capture, analyses };
    if (tries === CAPTURE_TRIES) throw damagedFault(step.driven[damaged]!, aim.tone);
    await walk.note('capture', `samples lost on channel ${step.driven[damaged]}: the point is taken again`);
    from = player.set(aim.tone, byBenchChannel);
  }
}

async function record(
  stage: StepStage,
  tone: CoherentTone,
  from: number,
  level_dB: number,
): Promise<SettledCapture> {
  const { walk, step, player } = stage;
  const channels = step.driven.map((driven) =>
    walk.request.setup.channels.findIndex(({ channel }) => channel === driven),
  );
  return captureSettled(player, { tone, from, channels }, halvesAgree, async () => {
    throwIfInterrupted(walk.request.signal);
    await walk.showProgress(step, tone.frequency_Hz, level_dB);
  });
}

function damagedFault(channel: number, tone: CoherentTone): CaptureDamaged {
  return new CaptureDamaged({
    what: `samples were lost in ${CAPTURE_TRIES} captures running at ${tone.frequency_Hz.toFixed(1)} Hz`,
    where: `channel ${channel}`,
    mend: 'Give the sound interface larger buffers or the computer less to do, and check the cable',
  });
}
