import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { tripLimits } from '../../safety/trip-limits.js';
import { TripWatch } from '../../safety/trip-watch.js';
import { channelWords } from '../../sequence/driven-channels.js';
import { type EnergisedStep, planOf } from '../../sequence/plan.js';
import { middleTone } from '../../sequence/step-plan.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { SINE_CREST, steady } from '../../signal/stimulus.js';
import { voltageRatio } from '../../units/decibel.js';
import { againIfLost } from '../capture/again-if-lost.js';
import { peakFor } from '../capture/drive.js';
import { type CollectedRecords, Collector } from '../capture/settled-capture.js';
import { TonePlayer } from '../capture/tone-player.js';
import { RunEnd, throwIfInterrupted } from '../course/run-end.js';
import type { Walk } from '../course/walk.js';
import { type HeardTone, isClear, type Listening, wiringFaults } from './wiring-faults.js';

/** A stretch that is listened to: this long, and so many cycles. */
const LISTEN_s = 0.12;
const LEAST_CYCLES = 8;
/** A channel that nobody hears is played louder by 10 dB, so many times. */
const STEP_UP = voltageRatio(10);
const MOST_STEPS_UP = 1;
/** So often the operator is asked to correct what is wrong. */
const MOST_TRIES = 3;

/** Has an operator correct what is wrong; returns only when it is done. */
type Correct = (faults: readonly string[]) => Promise<void>;

/**
 * Plays each channel alone, so weakly that no unit of the highest gain that the bench file allows for gives more than the
 * step's lowest level, and listens at every tap: is each channel heard where it should be, and nowhere else? What is
 * wrong is named and the operator is asked to mend it; a bench without power has nobody to ask.
 *
 * @throws RunEnd when something is wrong and nobody could mend it
 */
export async function checkWiring(walk: Walk, step: EnergisedStep, correct: Correct): Promise<void> {
  const channels = channelsInReach(step);
  for (let tries = 0; ; tries += 1) {
    const part = { ...step, driven: channels, measured: channels };
    const faults = await againIfLost(walk, 'the wiring check is made', () => lastingFaults(walk, part));
    if (faults.length === 0) break;
    const wrong = `wrong connections: ${faults.join('; ')}`;
    await walk.note('wiring', wrong);
    if (!walk.request.bench.energises || tries === MOST_TRIES) throw new RunEnd('wrong-connection', wrong);
    await correct(faults);
  }
  const appear = channels.length === 1 ? ' appears' : ', each appears';
  await walk.note('wiring', `wiring check passed: ${channelWords(channels)}${appear} on its own input only`);
  await sayWhatCannotBeChecked(walk, channels);
}

/** Channels with a load and, in this position of the taps, with a tap. */
function channelsInReach({ driven, wired = driven, taps }: EnergisedStep): readonly number[] {
  return taps ? wired.filter((channel) => taps.some((tap) => tap.channel === channel)) : wired;
}

async function sayWhatCannotBeChecked(walk: Walk, channels: readonly number[]): Promise<void> {
  const without = channels.filter((channel) => walk.chain(channel).current === null);
  if (without.length === 0 || walk.alreadySaid('loads unchecked')) return;
  await walk.note(
    'wiring',
    `loads not checked on ${channelWords(without)}: there is no current shunt. ` +
      'The voltage alone does not show whether a load is 4 ohm, 8 ohm or open. Check the loads yourself',
  );
}

/** What a second check finds as well: a few samples lost on a busy computer turn the phase, and look like an inverted channel. */
async function lastingFaults(walk: Walk, step: EnergisedStep): Promise<string[]> {
  const first = await findFaults(walk, step);
  if (first.length === 0) return first;
  const again = await findFaults(walk, step);
  return again.filter((fault) => first.includes(fault));
}

/** One check of all channels, under a watch of its own; the output is silent when this returns or throws. */
async function findFaults(walk: Walk, step: EnergisedStep): Promise<string[]> {
  const { bench, setup, signal } = walk.request;
  // The unit is sure to pass it.
  const tone = middleTone(planOf(step).tones(step));
  await bench.configure({ load_ohm: step.load_ohm, driven: step.driven });
  const watch = new TripWatch(tripLimits(step, setup, SINE_CREST), setup, step);
  const player = new TonePlayer(bench, (block, playing) => {
    throwIfInterrupted(signal);
    const trip = watch.look(block, playing);
    if (trip) throw new RunEnd('safety-limit', trip.text);
  });
  const load_ohm = new Map(
    step.driven.map((channel) => {
      const { measured_ohm, inductance_H } = walk.load(channel, step.load_ohm);
      return [channel, Math.hypot(measured_ohm, 2 * Math.PI * tone.frequency_Hz * inductance_H)];
    }),
  );
  try {
    const ear = new Ear(walk, step, player, tone);
    await ear.listenToSilence();
    const listenings: Listening[] = [];
    for (const channel of step.driven) listenings.push(await listenTo(walk, step, ear, channel));
    return wiringFaults(listenings, { load_ohm, nominal_ohm: step.load_ohm });
  } finally {
    await player.stop();
  }
}

/** Plays one channel as weakly as will do. */
async function listenTo(walk: Walk, step: EnergisedStep, ear: Ear, channel: number): Promise<Listening> {
  const power_W = planOf(step).lowest_W(step);
  const { outputFullScale_Vpk } = walk.chain(channel);
  const assumedGain = voltageRatio(walk.request.setup.assumedGain_dB);
  const voltsFor = (watts: number) =>
    Math.sqrt(watts * walk.load(channel, step.load_ohm).measured_ohm) / assumedGain;
  const most_V = Math.min(voltsFor(step.most_W), outputFullScale_Vpk / Math.SQRT2);
  let output_V = Math.min(voltsFor(power_W), most_V);
  for (let steps = 0; ; steps += 1) {
    const heard = await ear.listen(channel, output_V);
    const anything = [...heard.taps.values(), ...heard.currents.values()].some(isClear);
    if (anything || steps === MOST_STEPS_UP || output_V >= most_V) return heard;
    output_V = Math.min(output_V * STEP_UP, most_V);
  }
}

/** Plays one channel at a time and reads all taps, for a fraction of a second each. */
class Ear {
  private readonly record: CoherentTone;
  private readonly indexes: readonly number[];
  /** What the taps give while nothing plays, by channel, peak. */
  private silence: { readonly taps: readonly number[]; readonly currents: readonly number[] } | null = null;

  constructor(
    private readonly walk: Walk,
    private readonly step: EnergisedStep,
    private readonly player: TonePlayer,
    private readonly tone: CoherentTone,
  ) {
    const seconds = Math.max(LISTEN_s, LEAST_CYCLES / tone.frequency_Hz);
    this.record = { ...tone, frames: Math.ceil(seconds * tone.rate_Hz) };
    this.indexes = step.driven.map((channel) => walk.indexOf(channel));
  }

  async listenToSilence(): Promise<void> {
    const { taps, currents } = await this.take(() => 0);
    const size = (heard: HeardTone | null) => (heard ? Math.hypot(heard.re, heard.im) : 0);
    this.silence = { taps: taps.map(size), currents: currents.map(size) };
  }

  async listen(channel: number, output_V: number): Promise<Listening> {
    const { taps, currents } = await this.take((candidate) =>
      candidate === channel ? peakFor(this.walk.chain(channel), output_V) : 0,
    );
    const { driven } = this.step;
    const sensed = driven.flatMap((tap, i) => (currents[i] ? [[tap, currents[i]] as const] : []));
    return {
      channel,
      output_V,
      taps: new Map(driven.map((tap, i) => [tap, taps[i]!])),
      currents: new Map(sensed),
    };
  }

  private async take(peakOf: (channel: number) => number) {
    const { walk, player, tone, record, indexes } = this;
    const peaks = walk.request.setup.channels.map(({ channel }) => peakOf(channel));
    const from = player.set(steady(tone), peaks);
    const collector = new Collector(player, { tone: record, from, channels: indexes, currents: true });
    await collector.collect(0, record.frames);
    return this.inVolts(collector.records(), from);
  }

  /** Phasors in volts at the loads and amperes through them. */
  private inVolts({ channels, currents }: CollectedRecords, from: number) {
    const { step, walk, silence, tone } = this;
    return {
      taps: channels.map((samples, i) =>
        scaled(
          toneHeard(samples, from, tone),
          loadVoltsPerUnit(walk.chain(step.driven[i]!)),
          silence?.taps[i],
        ),
      ),
      currents: channels.map((_, i) => {
        const [samples, tap] = [currents?.[i], walk.chain(step.driven[i]!).current];
        if (!samples || !tap) return null;
        const amperes = tap.fullScale_Vpk / tap.shunt_ohm;
        return scaled(toneHeard(samples, from, tone), amperes, silence?.currents[i]);
      }),
    };
  }
}

/** In the unit of the tap; what stood there while nothing played is doubt as well. */
function scaled({ re, im, doubt }: HeardTone, factor: number, silence = 0): HeardTone {
  return { re: factor * re, im: factor * im, doubt: Math.max(factor * doubt, silence) };
}

/** Places beside the tone, in units of one over the length, that tell what is there without it. */
const BESIDE = [-6.5, -5, -3.5, 3.5, 5, 6.5];

/**
 * Finds a tone by one bin of a transform under a Hann window, whose side lobes fall so fast that hum far away does
 * not matter. The phase counts from frame 0 of the source, so that stretches taken at different times compare.
 *
 * @param from source frame of the first sample
 */
function toneHeard(samples: Float64Array, from: number, { cycles, frames }: CoherentTone): HeardTone {
  const cyclesPerSample = cycles / frames;
  const { re, im } = binAt(samples, from, cyclesPerSample);
  const besides = BESIDE.map((offset) => cyclesPerSample + offset / samples.length)
    .filter((frequency) => frequency > 3 / samples.length && frequency < 0.5)
    .map((frequency) => {
      const bin = binAt(samples, from, frequency);
      return bin.re ** 2 + bin.im ** 2;
    });
  const doubt = Math.sqrt(besides.reduce((sum, power) => sum + power, 0) / Math.max(1, besides.length));
  return { re, im, doubt };
}

/** Twice the mean of samples times window times exp(-i 2 pi f n), n counted from frame 0 of the source. */
function binAt(samples: Float64Array, from: number, cyclesPerSample: number): { re: number; im: number } {
  let [re, im, weight] = [0, 0, 0];
  let phase = (cyclesPerSample * from) % 1;
  for (let n = 0; n < samples.length; n += 1) {
    const window = 0.5 - 0.5 * Math.cos((2 * Math.PI * (n + 0.5)) / samples.length);
    const value = samples[n]! * window;
    re += value * Math.cos(2 * Math.PI * phase);
    im -= value * Math.sin(2 * Math.PI * phase);
    weight += window;
    phase = (phase + cyclesPerSample) % 1;
  }
  return { re: (2 * re) / weight, im: (2 * im) / weight };
}
