import { join } from 'node:path';
import type { Outcome as EndOf } from '../../src/record/outcome.js';
import { seededRandom } from '../../src/signal/dither.js';
import { HarmedBench } from './harmed-bench.js';
import { harmedRun, inFolder, type Outcome } from './harmed-run.js';
import { SEQUENCE, stand } from './harmed-setup.js';
import { commonMisses, type Row, type Trial } from './row.js';
import { truth } from './simulated-fault.js';
import { judge } from './truth.js';

/** Where a run takes place: the folder of its database, which is `runs.db` in it. */
export interface Place {
  readonly folder: string;
  readonly db: string;
}

type Misses = readonly (string | false)[];

/** Something that goes wrong around a run: disk, database, log, clock, sensors. */
export interface AroundFault {
  readonly name: string;
  readonly words: string;
  /** How such a run must end. */
  readonly ends: readonly EndOf[];
  /** Lines added to the bench file. */
  readonly bench?: (place: Place) => string;
  /** What is done before the run, at a random point of it, when it is over, and at the very end, whatever happened. */
  readonly before?: (place: Place) => void;
  readonly during?: (place: Place) => void;
  readonly over?: (place: Place) => void;
  readonly clear?: (place: Place) => void;
  /** Where the run is to be found; left out: in the database. */
  readonly endsIn?: (place: Place) => string;
  /** What is not as it must be, besides what every fault is held to; also where nothing shows that the fault was there. */
  readonly misses: (run: Outcome, place: Place) => Misses | Promise<Misses>;
  /** Which of what is said on the way is the message; left out: why the run ended. */
  readonly tells?: RegExp;
}

/** Points after which a fault may come: the last ones leave it nothing to spoil. */
const LAST_POINT = 9;

/** Injects a fault `trials` times, at points drawn from `seed`. */
export async function aroundRow(fault: AroundFault, trials: number, seed: number): Promise<Row> {
  const random = seededRandom(seed);
  const done: Trial[] = [];
  for (let n = 0; n < trials; n += 1) {
    const afterPoint = 1 + Math.floor(random() * LAST_POINT);
    done.push(await inFolder((folder) => trialOf(fault, folder, afterPoint)));
  }
  return { name: fault.name, words: fault.words, trials: done, limit: null };
}

async function trialOf(fault: AroundFault, folder: string, afterPoint: number): Promise<Trial> {
  const place = { folder, db: join(folder, 'runs.db') };
  try {
    fault.before?.(place);
    const more = fault.bench?.(place) ?? '';
    const { setup, bench: unit } = stand(folder, { more });
    const bench = new HarmedBench(unit);
    const run = await harmedRun({
      bench,
      setup,
      sequence: SEQUENCE,
      folder,
      endsIn: fault.endsIn?.(place) ?? place.db,
      committed: (number) => {
        if (number === afterPoint) fault.during?.(place);
      },
      refused: () => bench.harmedFromNow(),
      over: () => fault.over?.(place),
    });
    return await trialFrom(fault, run, bench, place);
  } finally {
    fault.clear?.(place);
  }
}

/** The fault of a database counts from the first write that it refuses: before that it does nothing to a run. */
async function trialFrom(fault: AroundFault, run: Outcome, bench: HarmedBench, place: Place): Promise<Trial> {
  const { outcome, status, message, said, committed, record } = run;
  const judged = judge(record, committed, await truth());
  const { harmed_s } = bench;
  const silence_ms = harmed_s === null ? null : 1000 * Math.max(0, bench.lastSounding_s - harmed_s);
  const shown = said.find((text) => fault.tells?.test(text)) ?? message;
  const trial = { silence_ms, outcome, status, judged, message: shown };
  const others = fault.ends.includes(outcome as EndOf) ? [] : [`it ended as ${outcome}: ${message}`];
  const own = (await fault.misses(run, place)).filter((miss) => miss !== false);
  return { ...trial, misses: [...commonMisses(trial, true), ...others, ...own] };
}
