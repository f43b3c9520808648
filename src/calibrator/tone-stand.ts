import { SamplesLost } from '../bench/bench-errors.js';
import type { ChannelChain } from '../calibration/chain.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { quickReadings, settlingOf } from '../measure/settled.js';
import { analyseByPairs } from '../runner/capture/analyse-by-pairs.js';
import { type Compare, captureSettled } from '../runner/capture/settled-capture.js';
import { CaptureDamaged } from '../runner/capture/take-record.js';
import { TonePlayer } from '../runner/capture/tone-player.js';
import { type CoherentTone, coherentTone } from '../signal/coherent-tone.js';
import { steady } from '../signal/stimulus.js';
import { formatQuantity } from '../units/format.js';
import { CalibrationBrokenOff, ReadingUnstable } from './calibration-errors.js';
import { type ByChannel, type CalibrationWork, chainsOf } from './calibration-work.js';
import { requireClean } from './requirements.js';

const TRIES = 3;
/** So often the bench may lose samples before nobody trusts it any more. */
const MOST_LOSSES = 10;
/** A level that moves by more than this between the halves of a record is not steady: a fifth of a hundredth of a decibel. */
const STEADY = 2e-4;
/** Multiples of the level's own uncertainty under the noise that are chance. */
const BEYOND_CHANCE = 6;
/** Time for a meter to come to rest on a new level. */
const METER_s = 0.5;

/** Whether the tone's level stands still; what noise does is of no account here. */
const levelStands: Compare = (earlier, later, tone) => {
  const [before, after] = quickReadings([earlier, later], tone);
  const level = Math.max(before!.fundamental_rms, after!.fundamental_rms);
  const residue = Math.max(before!.residue_rms, after!.residue_rms);
  const chance = (BEYOND_CHANCE * residue) / Math.sqrt(tone.cycles);
  const moved = Math.abs(before!.fundamental_rms - after!.fundamental_rms);
  return {
    settled: moved <= Math.max(STEADY * level, chance),
    level: level > 0 ? moved / level : 0,
    residue: 0,
  };
};

/** Plays tones for a calibration, reads what comes back, and keeps playing while somebody reads a meter. */
export class ToneStand {
  private readonly player: TonePlayer;
  private readonly tones = new Map<number, CoherentTone>();
  private losses = 0;
  private playing: { tone: CoherentTone; peaks: readonly number[] } | null = null;

  constructor(readonly work: CalibrationWork) {
    this.player = new TonePlayer(work.bench, () => {
      if (work.signal.aborted) throw new CalibrationBrokenOff();
    });
  }

  /** The coherent tone next to a frequency, the same one each time. */
  tone(nominal_Hz: number): CoherentTone {
    const known = this.tones.get(nominal_Hz);
    if (known) return known;
    const made = coherentTone({ nominal_Hz, rate_Hz: this.work.bench.rate_Hz });
    this.tones.set(nominal_Hz, made);
    return made;
  }

  /** Those of the frequencies that give a tone of their own: of neighbours that share one, the first. */
  distinct(nominals_Hz: readonly number[]): number[] {
    const tones = nominals_Hz.map((nominal_Hz) => this.tone(nominal_Hz).frequency_Hz);
    return nominals_Hz.filter((_, i) => tones.indexOf(tones[i]!) === i);
  }

  /** The chains of the channels to calibrate. */
  get chains(): ChannelChain[] {
    return chainsOf(this.work);
  }

  /** Moves to a tone. @param peaks digital peak by bench channel; channels left out are silent */
  set(nominal_Hz: number, peaks: ByChannel): void {
    const tone = this.tone(nominal_Hz);
    const all = this.work.setup.channels.map(({ channel }) => peaks.get(channel) ?? 0);
    this.playing = { tone, peaks: all };
    this.player.set(steady(tone), all);
  }

  /**
   * One record of every bench channel, analysed.
   *
   * @param wanted `level`: the level must stand still; `residue`: level and residue should, and after the longest wait it is
   *   taken as it is; `any`: taken as it is once the level stands still or after the longest wait
   * @throws ReadingUnstable, CaptureDamaged
   */
  async read(wanted: 'level' | 'residue' | 'any' = 'level'): Promise<ChannelAnalysis[]> {
    const { tone, peaks } = this.playing!;
    const channels = peaks.map((_, i) => i);
    for (let tries = 1; ; tries += 1) {
      const from = this.player.set(steady(tone), peaks);
      const compare = wanted === 'residue' ? settlingOf : levelStands;
      const aim = { tone, from, channels };
      const capture = await this.orLost(() => captureSettled(this.player, aim, compare, async () => {}));
      if (capture === null) continue;
      const analyses = await analyseByPairs(capture.channels, tone, null);
      const heard = analyses.filter((_, i) => peaks[i]! > 0);
      if (heard.every(({ gaps }) => gaps.length === 0)) {
        if (wanted === 'level' && !capture.settled) throw unsteady(tone);
        return analyses;
      }
      if (tries === TRIES) throw broken(tone);
      this.work.tell('Samples were lost: the level is taken again.');
    }
  }

  /**
   * One record in which no input clips, analysed, by bench channel.
   *
   * @param chains that carry the tone; left out: all that are calibrated
   * @throws ReadingUnstable, CaptureDamaged, ConverterClips
   */
  async readClean(
    wanted: 'level' | 'residue' = 'level',
    chains = this.chains,
  ): Promise<Map<number, ChannelAnalysis>> {
    const analyses = await this.read(wanted);
    const { channels } = this.work.setup;
    requireClean(analyses, chains, channels);
    return new Map(chains.map((chain) => [chain.channel, analyses[channels.indexOf(chain)]!]));
  }

  /** Keeps the tone playing until `ask` has an answer. */
  async hold<T>(ask: () => Promise<T>): Promise<T> {
    await this.pass(METER_s);
    const state = { answered: false };
    const answer = ask().finally(() => {
      state.answered = true;
    });
    // When the bench fails first, nobody waits for the answer any more.
    answer.catch(() => {});
    while (!state.answered) await this.goOn();
    return answer;
  }

  /** Ramps to silence and lets go of the bench, which may then be wired anew. */
  async stop(): Promise<void> {
    this.playing = null;
    await this.player.stop();
  }

  /** Fetches the next block; begins the tone anew where samples were lost. @returns frames that the tone went on */
  private async goOn(): Promise<number> {
    const { tone, peaks } = this.playing!;
    const block = await this.orLost(() => this.player.next());
    if (block !== null) return block.channels[0]!.length;
    this.player.set(steady(tone), peaks);
    return 0;
  }

  /** What was played; null, and silence, where the bench itself says that samples were lost on the way. */
  private async orLost<T>(play: () => Promise<T>): Promise<T | null> {
    try {
      const played = await play();
      for (const note of this.work.bench.takeNotes?.() ?? []) this.work.tell(`Note: ${note}.`);
      return played;
    } catch (error) {
      if (!(error instanceof SamplesLost) || ++this.losses > MOST_LOSSES) throw error;
      await this.player.stop();
      this.work.tell(`${error.explanation.what}: the level is taken again.`);
      return null;
    }
  }

  private async pass(seconds: number): Promise<void> {
    const frames = seconds * this.work.bench.rate_Hz;
    for (let passed = 0; passed < frames; ) passed += await this.goOn();
  }
}

/** Runs a procedure on a stand that is silent again afterwards, whatever happens. */
export async function onStand<T>(work: CalibrationWork, act: (stand: ToneStand) => Promise<T>): Promise<T> {
  const stand = new ToneStand(work);
  try {
    return await act(stand);
  } finally {
    await stand.stop();
  }
}

function unsteady(tone: CoherentTone): InstanceType<typeof ReadingUnstable> {
  return new ReadingUnstable({
    what: `the level that comes back at ${tone.frequency_Hz.toFixed(1)} Hz does not stand still`,
    mend: 'Check for a loose cable, and for automatic gain, monitoring or effects in the sound interface',
  });
}

function broken(tone: CoherentTone): InstanceType<typeof CaptureDamaged> {
  return new CaptureDamaged({
    what: `samples were lost in ${TRIES} captures running at ${tone.frequency_Hz.toFixed(1)} Hz`,
    mend: 'Give the sound interface larger buffers or the computer less to do, and check the cable',
  });
}

/** One setting of a long procedure. */
export interface WalkPoint {
  readonly nominal_Hz: number;
  /** Digital peaks at the outputs, by bench channel. */
  readonly peaks: ByChannel;
}

/** Plays points one after the other and says how long the rest will take, by what the first ones took. */
export async function walkPoints(
  stand: ToneStand,
  points: readonly WalkPoint[],
  visit: (point: WalkPoint, index: number) => Promise<void>,
): Promise<void> {
  const weights = points.map(({ nominal_Hz }) => stand.tone(nominal_Hz).frames);
  const all = weights.reduce((total, weight) => total + weight, 0);
  const { work } = stand;
  const begun_s = work.bench.now_s();
  let done = 0;
  for (const [i, point] of points.entries()) {
    stand.set(point.nominal_Hz, point.peaks);
    await visit(point, i);
    done += weights[i]!;
    const perWeight_s = (work.bench.now_s() - begun_s) / done;
    work.progress({
      done: done / all,
      left_s: perWeight_s * (all - done),
      text: `point ${i + 1} of ${points.length}, ${formatQuantity(point.nominal_Hz, 'Hz')}`,
    });
  }
}
