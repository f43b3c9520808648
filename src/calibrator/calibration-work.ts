import type { Bench, Wiring } from '../bench/bench.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import type { ChannelChain } from '../calibration/chain.js';
import { listed } from '../units/listed.js';
import type { Accuracy } from './accuracy.js';
import { CalibrationBrokenOff, NotConfirmed } from './calibration-errors.js';
import type { Meter } from './meter.js';

/** How far a long procedure has got. */
export interface CalibrationProgress {
  /** Share done, 0 to 1. */
  readonly done: number;
  /** Seconds of bench time that are left. */
  readonly left_s: number;
  readonly text: string;
}

/** All that a calibration procedure needs. The bench is open; procedures end with silence, whatever happens. */
export interface CalibrationWork {
  readonly bench: Bench;
  readonly setup: BenchSetup;
  readonly meter: Meter;
  /** Of the meter, for what it is used for here; null: not stated. */
  readonly accuracy: Accuracy | null;
  /** Bench channels to calibrate, from 1. */
  readonly channels: readonly number[];
  /** Levels to use, dB relative to full scale; null: those of the procedure. */
  readonly levels_dB: readonly number[] | null;
  /** Frequencies to use for a floor or a response; null: those of the procedure. */
  readonly frequencies_Hz: readonly number[] | null;
  /** Says what is going on. */
  tell(text: string): void;
  progress(progress: CalibrationProgress): void;
  readonly signal: AbortSignal;
}

/** Something by bench channel. */
export type ByChannel<T = number> = ReadonlyMap<number, T>;

/** The chains of the channels to calibrate, in their order. */
export function chainsOf(work: CalibrationWork): ChannelChain[] {
  return work.channels.map((channel) => work.setup.channels.find((chain) => chain.channel === channel)!);
}

/**
 * Takes the channels in rounds of which each needs an input only once: channels that take turns at an input cannot be
 * looped at the same time.
 */
export async function inRounds<T>(
  work: CalibrationWork,
  act: (round: CalibrationWork) => Promise<readonly T[]>,
): Promise<T[]> {
  const results: T[] = [];
  for (let left = chainsOf(work); left.length > 0; ) {
    const round = left.filter(({ input }, i) => left.findIndex((other) => other.input === input) === i);
    results.push(...(await act({ ...work, channels: round.map(({ channel }) => channel) })));
    left = left.filter((chain) => !round.includes(chain));
  }
  return results;
}

/** `output 1 and 2 to input 1 and 2` as words for a question. */
export function loopWords(work: CalibrationWork): { readonly outputs: string; readonly inputs: string } {
  const chains = chainsOf(work);
  return {
    outputs: counted(
      'output',
      chains.map(({ output }) => output),
    ),
    inputs: counted(
      'input',
      chains.map(({ input }) => input),
    ),
  };
}

/** Has a thing done by hand, and tells the bench how it is wired from now on. @throws NotConfirmed */
export async function connect(work: CalibrationWork, wiring: Wiring, text: string): Promise<void> {
  await confirmed(work, text);
  const { nominal_ohm } = work.setup.channels[0]!.loads[0]!;
  await work.bench.configure({ load_ohm: nominal_ohm, driven: work.channels, wiring });
}

/** `Do plain cables lead from outputs 1 and 2 to inputs 1 and 2, in this order`: the beginning of a question. */
export function plainCables(work: CalibrationWork): string {
  const { outputs, inputs } = loopWords(work);
  return work.channels.length > 1
    ? `Do plain cables lead from ${outputs} to ${inputs}, in this order`
    : `Does a plain cable lead from ${outputs} to ${inputs}`;
}

/** `Is output 1 connected to the load side of its attenuator ...`: a question without its mark. */
export function throughAttenuators(work: CalibrationWork): string {
  const { outputs, inputs } = loopWords(work);
  return work.channels.length > 1
    ? `Are ${outputs} connected each to the load side of its own attenuator, and the attenuators to ${inputs} in this order, with no amplifier connected`
    : `Is ${outputs} connected to the load side of its attenuator, and the attenuator to ${inputs}, with no amplifier connected`;
}

/** Has every output connected to its own input by a plain cable. @throws NotConfirmed */
export function connectLoops(work: CalibrationWork): Promise<void> {
  return connect(
    work,
    'loop',
    `${plainCables(work)}, with the attenuators left out and no amplifier connected?`,
  );
}

/** @throws NotConfirmed, CalibrationBrokenOff */
export async function confirmed(work: CalibrationWork, text: string): Promise<void> {
  const yes = await work.meter.confirm(text);
  if (work.signal.aborted) throw new CalibrationBrokenOff();
  if (!yes)
    throw new NotConfirmed({
      // The sentence that follows brings its own full stop.
      what: `not confirmed: ${text.replace(/[?.]$/, '')}`,
      mend: 'No record was written. Start again when it is so',
    });
}

/** `output 1` or `outputs 1 and 2`. */
export function counted(word: string, numbers: readonly number[]): string {
  return `${word}${numbers.length > 1 ? 's' : ''} ${listed(numbers)}`;
}
