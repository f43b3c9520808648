import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { openSimulated } from '../src/bench/simulated/open-simulated.js';
import { recordRun } from '../src/cli/run/record-run.js';
import { benchNamed } from '../src/cli/terminal/read-input.js';
import type { Progress } from '../src/runner/course/run-request.js';
import { makePlan } from '../src/sequence/make-plan.js';
import { readSequence } from '../src/sequence/sequence-file.js';
import { openStore } from '../src/store/sqlite/sqlite-store.js';
import type { Watcher } from '../src/view/run-watch.js';

/** What a long run is made of, over and over, in each hour. */
export interface LongRun {
  readonly hours: number;
  readonly hold_s: number;
  /** A point of a hold is kept this often. */
  readonly every_s: number;
}

/** The program's memory at a time of the run. */
export interface Sample {
  readonly at_s: number;
  readonly heap_MB: number;
}

export interface LongRunSeen {
  readonly samples: readonly Sample[];
  readonly points: number;
  readonly real_s: number;
  readonly database_MB: number;
  /** Largest errors of the time left from the first tenth on, as a share of the whole. */
  readonly left_error: number;
  /** Time that `show` needs for the whole of it. */
  readonly show_s: number;
}

const MB = 1e6;
const SAMPLE_EVERY_s = 600;

/** Holds and rests for hours, with a sweep and a ceiling in each: through store and log, as `ohmest run` does it. */
function sequenceOf({ hours, hold_s, every_s }: LongRun): string {
  const hour = (n: number) => `
  - sweep: {id: sweep-${n}, level: 10 W, frequencies: [100 Hz, 1 kHz, 10 kHz]}
  - ceiling: {id: ceiling-${n}, threshold: 0.1 %, from: 10 W, start: 70 W, frequencies: [500 Hz, 1 kHz, 2 kHz]}
  - hold: {id: hold-${n}, frequency: 1 kHz, level: 50 W, for: ${hold_s} s, every: ${every_s} s}
  - rest: ${3600 - hold_s - 20} s`;
  return `name: A long run\nload: 8 ohm\nsteps:${Array.from({ length: hours }, (_, n) => hour(n + 1)).join('')}\n`;
}

/** Plays a long run on the simulated bench and looks at the heap, freshly collected, every ten minutes of it. */
export async function playLongRun(long: LongRun): Promise<LongRunSeen> {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-long-'));
  const store = await openStore(join(folder, 'runs.db'), { mode: 'create' });
  try {
    const setup = benchNamed('ideal-40');
    const bench = openSimulated(setup);
    const samples: Sample[] = [];
    const left: { at_s: number; left_s: number; done: number }[] = [];
    const look = ({ left_s, done }: Progress): void => {
      const at_s = bench.now_s();
      if (at_s < (samples.at(-1)?.at_s ?? -SAMPLE_EVERY_s) + SAMPLE_EVERY_s) return;
      collect();
      samples.push({ at_s, heap_MB: process.memoryUsage().heapUsed / MB });
      left.push({ at_s, left_s, done });
    };
    const watcher: Watcher = {
      begin: (watch) => void watch.onGlance(look),
      say: () => undefined,
      end: () => undefined,
    };
    const begun_ms = performance.now();
    const plan = makePlan(readSequence(sequenceOf(long), 'long.yaml'), setup);
    const { run, points, outcome, reason } = await recordRun({
      store,
      plan,
      held: { setup, bench, gap: null },
      unit: 'invented unit',
      checklist: [],
      keepCaptures: false,
      ask: async () => true,
      signal: new AbortController().signal,
      watchers: [watcher],
    });
    if (outcome !== 'completed') throw new Error(`the long run ended as ${outcome}: ${reason}`);
    const real_s = (performance.now() - begun_ms) / 1000;
    const end_s = bench.now_s();
    const shown_ms = performance.now();
    store.run(run);
    return {
      samples,
      points: points.length,
      real_s,
      database_MB: statSync(store.place).size / MB,
      left_error: Math.max(
        ...left
          .filter(({ done }) => done >= 0.1)
          .map(({ at_s, left_s }) => Math.abs(at_s + left_s - end_s) / end_s),
      ),
      show_s: (performance.now() - shown_ms) / 1000,
    };
  } finally {
    await store.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Twelve hours: memory, time and what is right about the time left. */
export async function longRunBench(): Promise<{ name: string; text: string; value: number }[]> {
  const { samples, points, real_s, database_MB, left_error, show_s } = await playLongRun({
    hours: 12,
    hold_s: 60,
    every_s: 1,
  });
  const heapIn = (hour: number) => samples.find(({ at_s }) => at_s >= (hour - 1) * 3600)!.heap_MB;
  const growth = heapIn(12) / heapIn(2) - 1;
  return [
    {
      name: 'heap in hour 12 against hour 2',
      text: `${heapIn(12).toFixed(1)} MB against ${heapIn(2).toFixed(1)} MB, ${growth < 0 ? '' : '+'}${(100 * growth).toFixed(1)} %`,
      value: growth,
    },
    {
      name: 'time left, worst from the first tenth on',
      text: `${(100 * left_error).toFixed(1)} % of the whole off`,
      value: left_error,
    },
    {
      name: 'twelve hours in real time',
      text: `${real_s.toFixed(0)} s, ${points} points, ${database_MB.toFixed(1)} MB, read back in ${show_s.toFixed(2)} s`,
      value: real_s,
    },
  ];
}
