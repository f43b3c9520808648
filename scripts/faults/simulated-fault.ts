import type { SimulatedBench } from '../../src/bench/simulated/simulated-bench.js';
import type { Outcome as EndOf } from '../../src/record/outcome.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { seededRandom } from '../../src/signal/dither.js';
import { HarmedBench, type Heard } from './harmed-bench.js';
import { harmedRun, inFolder, type Outcome } from './harmed-run.js';
import { SEQUENCE, type StandOptions, stand } from './harmed-setup.js';
import { commonMisses, type Limit, type Row, type Trial } from './row.js';
import { judge } from './truth.js';

type Random = () => number;

/** Something that goes wrong on the simulated bench while it plays. */
export interface SimulatedFault {
  readonly name: string;
  readonly words: string;
  /** How such a run must end. */
  readonly ends: readonly EndOf[];
  /** What is played, by turns; left out: steps that hold a level. */
  readonly sequences?: readonly string[];
  readonly stand?: (random: Random) => StandOptions;
  /** Digital level (rms) on channel 1 that must be playing, at least and at most; left out: any, silence too. */
  readonly from?: number;
  readonly upTo?: number;
  /** Harms the bench; called once, at a random moment. Left out: the unit does it itself. */
  readonly harm?: (bench: HarmedBench, unit: SimulatedBench, random: Random) => void;
  /** Whether the fault shows in a block, as against the loudest before it. Left out: by the samples that the harm touched. */
  readonly shows?: (now: Heard, before: Heard) => boolean;
  /** True: from the fault on nothing that is read on channel 1 is true, however right it looks. */
  readonly nothingTrue?: boolean;
  /** What is known to be missed, and why; left out: nothing may be missed. */
  readonly limit?: Limit;
}

/** A fault comes after one of the points of the sequence, but not of the last ones: they leave it too little time to show. */
const LAST_POINTS = 5;
/** The fault comes so long after a point at most: longer than a point takes. */
const SPREAD_s = 0.7;
/** Digital level (rms) of a block from which on it counts as sounding. */
const PLAYED_LEAST = 1e-3;

/** Injects a fault `trials` times, at moments drawn from `seed`. */
export async function simulatedRow(fault: SimulatedFault, trials: number, seed: number): Promise<Row> {
  const random = seededRandom(seed);
  const done: Trial[] = [];
  const { sequences = [SEQUENCE] } = fault;
  for (let n = 0; n < trials; n += 1) {
    const sequence = sequences[n % sequences.length]!;
    done.push(await inFolder((folder) => trialOf(fault, sequence, folder, random)));
  }
  return { name: fault.name, words: fault.words, trials: done, limit: fault.limit ?? null };
}

async function trialOf(
  fault: SimulatedFault,
  sequence: string,
  folder: string,
  random: Random,
): Promise<Trial> {
  const options = fault.stand?.(random) ?? {};
  const { setup, bench: unit } = stand(folder, options);
  const whole = await truth(sequence);
  const afterPoint = 1 + Math.floor(random() * (whole.points.length - LAST_POINTS));
  const later_s = random() * SPREAD_s;
  let due_s = Number.POSITIVE_INFINITY;
  let loudest: Heard | null = null;
  let shown = false;
  const bench: HarmedBench = new HarmedBench(unit, {
    hidesCurrents: options.shunts === 'hidden',
    onBlock: (heard) => {
      if (
        bench.now_s() >= due_s &&
        heard.played[0]! >= (fault.from ?? 0) &&
        heard.played[0]! <= (fault.upTo ?? 1)
      ) {
        due_s = Number.POSITIVE_INFINITY;
        fault.harm?.(bench, unit, random);
      }
      const sounds = Math.max(...heard.played) > PLAYED_LEAST;
      const shows = sounds && loudest !== null && (fault.shows?.(heard, loudest) ?? false);
      if (shows && !fault.harm) bench.harmed_s ??= heard.start_s;
      shown ||= shows;
      if (sounds && !(loudest && loudest.channels[0]! > heard.channels[0]!)) loudest = heard;
    },
  });
  const run = await harmedRun({
    bench,
    setup,
    sequence,
    folder,
    committed: (number) => {
      if (number === afterPoint) due_s = bench.now_s() + later_s;
    },
  });
  return trialFrom(fault, { run, whole }, bench, fault.shows ? shown : bench.touched > 0);
}

async function trialFrom(
  fault: SimulatedFault,
  { run, whole }: { readonly run: Outcome; readonly whole: RunRecord },
  bench: HarmedBench,
  injected: boolean,
): Promise<Trial> {
  const { outcome, status, message, committed, record } = run;
  const harmed_s = bench.harmed_s;
  const judged = judge(record, committed, whole, fault.nothingTrue ? harmed_s : null);
  const ended = outcome !== 'completed' && harmed_s !== null;
  const silence_ms = ended ? 1000 * Math.max(0, bench.lastSounding_s - harmed_s) : null;
  const trial = { silence_ms, outcome, status, judged, message };
  const misses = commonMisses(trial, injected && harmed_s !== null, fault.limit ?? null);
  const others = fault.ends.includes(outcome as EndOf) ? [] : [`it ended as ${outcome}`];
  return { ...trial, misses: [...misses, ...others] };
}

const known = new Map<string, Promise<RunRecord>>();

/** The run that nothing happens to. Shunts, relays and heat change nothing of it. */
export function truth(sequence = SEQUENCE): Promise<RunRecord> {
  const run = known.get(sequence) ?? inFolder((folder) => unharmed(sequence, folder));
  known.set(sequence, run);
  return run;
}

async function unharmed(sequence: string, folder: string): Promise<RunRecord> {
  const { setup, bench } = stand(folder);
  const run = await harmedRun({ bench: new HarmedBench(bench), setup, sequence, folder });
  if (run.outcome !== 'completed') throw new Error(`the run without a fault ended: ${run.message}`);
  return run.record;
}
