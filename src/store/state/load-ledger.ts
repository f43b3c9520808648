import { createHash } from 'node:crypto';
import { mkdirSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Load } from '../../calibration/chain.js';
import { readRegular } from '../../files/open-regular.js';
import type { LoadMemory, LoadWarmth } from '../../safety/load-memory.js';
import { meanAfter_W } from '../../sequence/load-warmth.js';
import { formatQuantity } from '../../units/format.js';

/** Far above what is known of one load. */
const MOST_BYTES = 2 ** 16;
/** Below this share of its rating a load counts as cold, and the energy that it took as gone. */
export const COLD_SHARE = 0.01;
/** What a load can have taken of which nothing is known: its rating for five time constants. */
const UNKNOWN_TIMES = 5;

const entrySchema = z.strictObject({
  format: z.literal(1),
  load: z.string(),
  bench: z.string(),
  mean_W: z.number().nonnegative().max(1e9),
  energy_J: z.number().nonnegative().max(1e15),
  thermal_s: z.number().positive().max(1e6),
  /** Moment at which the load is as warm as this at most, ISO 8601. */
  at: z.iso.datetime(),
});
type Entry = z.output<typeof entrySchema>;

/**
 * Which load it is, by what the bench file says: its label where it has one, else its channel and nominal ohms. Two benches that
 * label nothing share their loads by this: to take a cold load for a warm one costs a rest, the other way round a load.
 */
export function loadIdentity(channel: number, { label, nominal_ohm }: Load): string {
  return label === undefined
    ? `channel ${channel}, ${formatQuantity(nominal_ohm, 'ohm', { trim: true })}`
    : `load '${label}'`;
}

/** What one load was found to be like. */
export interface KnownWarmth extends LoadWarmth {
  readonly load: Load;
  readonly identity: string;
  /** Name of the bench whose run warmed it; null where there is no record. */
  readonly by: string | null;
  /** Why it is taken to be as warm as it can be; null where its record is whole. */
  readonly damage: string | null;
}

/** The records of how warm loads are, one small file a load, so that no two runs write the same. */
export class LoadLedger {
  readonly #folder: string;
  readonly #setup: BenchSetup;
  readonly #now: () => number;

  /** @param folder the state folder. @param now milliseconds since 1970, by the clock on the wall */
  constructor(folder: string, setup: BenchSetup, now: () => number = Date.now) {
    this.#folder = join(folder, 'loads');
    this.#setup = setup;
    this.#now = now;
  }

  /** Every load of the bench, as warm as it is now. */
  read(): KnownWarmth[] {
    return this.#setup.channels.flatMap(({ channel, loads }) =>
      loads.map((load) => this.#warmthOf(channel, load)),
    );
  }

  /** The same as a memory for a run, which begins with loads as warm as given. */
  memory(before: readonly LoadWarmth[], words: readonly string[] = []): LoadMemory {
    return { before, words, keep: (now) => this.#keep(now) };
  }

  #path(identity: string): string {
    return join(this.#folder, `${createHash('sha256').update(identity).digest('hex').slice(0, 16)}.json`);
  }

  #warmthOf(channel: number, load: Load): KnownWarmth {
    const identity = loadIdentity(channel, load);
    const about = { channel, load_ohm: load.nominal_ohm, load, identity };
    const path = this.#path(identity);
    let entry: Entry;
    try {
      entry = entrySchema.parse(JSON.parse(readRegular(path, MOST_BYTES).toString()));
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOENT')
        return { ...about, mean_W: 0, energy_J: 0, by: null, damage: null };
      const worst = { mean_W: load.rating_W, energy_J: UNKNOWN_TIMES * load.thermal_s * load.rating_W };
      const gone_s = this.#since_s(changedAt(path));
      return { ...about, ...cooled(worst, load, gone_s), by: null, damage: path };
    }
    const slower = { ...load, thermal_s: Math.max(load.thermal_s, entry.thermal_s) };
    return {
      ...about,
      ...cooled(entry, slower, this.#since_s(Date.parse(entry.at))),
      by: entry.bench,
      damage: null,
    };
  }

  /** A moment that is yet to come by this clock was just now. */
  #since_s(moment_ms: number | null): number {
    return moment_ms === null ? 0 : Math.max(0, (this.#now() - moment_ms) / 1000);
  }

  #keep(now: readonly LoadWarmth[]): string | null {
    try {
      mkdirSync(this.#folder, { recursive: true });
      // One load that is moved from channel to channel has one label: the warmest of its entries stands, since it is written last.
      for (const { channel, load_ohm, mean_W, energy_J } of [...now].sort((a, b) => a.mean_W - b.mean_W)) {
        const chain = this.#setup.channels.find((one) => one.channel === channel)!;
        const load = chain.loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm)!;
        const identity = loadIdentity(channel, load);
        const entry: Entry = {
          format: 1,
          load: identity,
          bench: this.#setup.name,
          mean_W,
          energy_J,
          thermal_s: load.thermal_s,
          at: new Date(this.#now()).toISOString(),
        };
        replace(this.#path(identity), `${JSON.stringify(entry)}\n`);
      }
      return null;
    } catch (error) {
      const { code, message } = error as NodeJS.ErrnoException;
      return `how warm the loads are cannot be kept in ${this.#folder} (${code ?? message}): the next run will not know`;
    }
  }
}

/** Never half of it: whoever reads meanwhile, or after a kill, finds the old text or the new one. */
function replace(path: string, text: string): void {
  const fresh = `${path}.${process.pid}`;
  writeFileSync(fresh, text);
  renameSync(fresh, path);
}

function changedAt(path: string): number | null {
  try {
    return statSync(path).mtimeMs;
  } catch {
    return null;
  }
}

/** A load after a time in silence. */
export function cooled(
  { mean_W, energy_J }: Pick<LoadWarmth, 'mean_W' | 'energy_J'>,
  load: Pick<Load, 'rating_W' | 'thermal_s'>,
  seconds: number,
): Pick<LoadWarmth, 'mean_W' | 'energy_J'> {
  const now_W = meanAfter_W(load, mean_W, 0, seconds);
  return now_W < COLD_SHARE * load.rating_W ? { mean_W: 0, energy_J: 0 } : { mean_W: now_W, energy_J };
}

/** Seconds of silence until a load counts as cold. */
export function untilCold_s(
  { rating_W, thermal_s }: Pick<Load, 'rating_W' | 'thermal_s'>,
  mean_W: number,
): number {
  return Math.max(0, thermal_s * Math.log(mean_W / (COLD_SHARE * rating_W)));
}
