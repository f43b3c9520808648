import { createHash, randomBytes } from 'node:crypto';
import { mkdirSync, readdirSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Load } from '../../calibration/chain.js';
import { loadIdentity } from '../../calibration/load-identity.js';
import { readRegular } from '../../files/open-regular.js';
import { type HeatShare, leftAt_W, unknownShare } from '../../safety/heat-shares.js';
import type { LoadWarmth } from '../../safety/load-memory.js';

/** Far above what is known of one load. */
const MOST_BYTES = 2 ** 16;

const common = {
  load: z.string(),
  bench: z.string(),
  mean_W: z.number().nonnegative().max(1e9),
  energy_J: z.number().nonnegative().max(1e15),
  thermal_s: z.number().positive().max(1e6),
  /** Moment at which the load has no more than this, ISO 8601. */
  at: z.iso.datetime(),
};

/** The first form was one record for all runs: it holds whatever was put into the load before. */
const entrySchema = z.union([
  z.strictObject({ format: z.literal(2), ...common, from: z.iso.datetime() }),
  z
    .strictObject({ format: z.literal(1), ...common })
    .transform((entry) => ({ ...entry, from: new Date(0).toISOString() })),
]);

/** What is on record of one load. */
export interface KeptShares {
  readonly shares: readonly HeatShare[];
  /** A record that cannot be read, in whose place the worst is taken; null where all are whole. */
  readonly damage: string | null;
}

/** What is left of less than this is no reason to keep a record. */
const GONE_W = 1e-3;
/** A run keeps its record every few seconds: one that is older than this has no run any more. */
const AT_REST_ms = 60_000;

/**
 * What runs have put into loads, in the state folder of the user. Each run has files of its own, one a load, and keeps there what it
 * has put in by itself: so no two runs ever write the same, and what a load has is the sum over all files that may be of it.
 */
export class LoadLedger {
  readonly #folder: string;
  readonly #setup: BenchSetup;
  readonly #now: () => number;
  /** What the files of this run are called by, and since when it can have driven loads. */
  readonly #own = randomBytes(6).toString('hex');
  readonly #from: string;

  /** @param folder the state folder. @param now milliseconds since 1970, by the clock on the wall */
  constructor(folder: string, setup: BenchSetup, now: () => number = Date.now) {
    this.#folder = join(folder, 'loads');
    this.#setup = setup;
    this.#now = now;
    this.#from = new Date(now()).toISOString();
  }

  /** What all runs have put into a load. Records of which nothing is left are removed, but for the newest. */
  sharesOf(channel: number, load: Load): KeptShares {
    const kept = this.#pathsOf(loadIdentity(channel, load)).flatMap((path) => this.#read(path, load) ?? []);
    const newest_ms = Math.max(...kept.map(({ share }) => share.until_ms));
    const before = kept.filter(({ share }) => share.until_ms < newest_ms);
    if (before.every(({ share }) => this.#isGone(share, load)))
      for (const { path } of before) removeIfAllowed(path);
    return {
      shares: kept.map(({ share }) => share),
      damage: kept.find(({ whole }) => !whole)?.path ?? null,
    };
  }

  #isGone(share: HeatShare, load: Load): boolean {
    const now_ms = this.#now();
    return share.until_ms < now_ms - AT_REST_ms && leftAt_W(share, now_ms, load.thermal_s) < GONE_W;
  }

  /** Every record of what may be this load. */
  #pathsOf(identity: string): string[] {
    const prefix = hashOf(identity);
    try {
      return readdirSync(this.#folder)
        .filter((name) => name.startsWith(prefix) && name.endsWith('.json'))
        .map((name) => join(this.#folder, name));
    } catch (error) {
      // A folder that may not be looked into tells no more than a record that cannot be read.
      return (error as NodeJS.ErrnoException).code === 'ENOENT' ? [] : [this.#folder];
    }
  }

  /** Null for a record that somebody has removed in between. */
  #read(path: string, load: Load): { path: string; share: HeatShare; whole: boolean } | null {
    try {
      const entry = entrySchema.parse(JSON.parse(readRegular(path, MOST_BYTES).toString()));
      const { bench, mean_W, energy_J, thermal_s } = entry;
      const [from_ms, until_ms] = [Date.parse(entry.from), this.#notFromLater(path, entry)];
      return { path, share: { bench, from_ms, until_ms, mean_W, energy_J, thermal_s }, whole: true };
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
      const time = { bench: '', from_ms: 0, until_ms: changedAt(path) ?? this.#now() };
      return { path, share: unknownShare(load, time), whole: false };
    }
  }

  /** Up to when a record holds. One from before a clock was set back counts as of now, and from now on as of then. */
  #notFromLater(path: string, entry: { readonly at: string }): number {
    const until_ms = Date.parse(entry.at);
    const now_ms = this.#now();
    if (until_ms <= now_ms + AT_REST_ms) return until_ms;
    try {
      replace(path, `${JSON.stringify({ ...entry, format: 2, at: new Date(now_ms).toISOString() })}\n`);
    } catch {
      // It counts as of now the next time, too.
    }
    return now_ms;
  }

  /**
   * Keeps what this run has put into its loads so far.
   *
   * @returns why it cannot be kept; null when it is
   */
  keep(now: readonly LoadWarmth[]): string | null {
    try {
      mkdirSync(this.#folder, { recursive: true });
      for (const { channel, load_ohm, mean_W, energy_J } of now) {
        const chain = this.#setup.channels.find((one) => one.channel === channel)!;
        const load = chain.loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm)!;
        const identity = loadIdentity(channel, load);
        const [bench, thermal_s, from] = [this.#setup.name, load.thermal_s, this.#from];
        const at = new Date(this.#now()).toISOString();
        const entry = { format: 2, load: identity, bench, mean_W, energy_J, thermal_s, from, at };
        // A load that is moved from channel to channel has one label, and a share from each.
        const path = join(this.#folder, `${hashOf(identity)}-${this.#own}-${channel}.json`);
        replace(path, `${JSON.stringify(entry)}\n`);
      }
      return null;
    } catch (error) {
      const { code, message } = error as NodeJS.ErrnoException;
      return `how warm the loads are cannot be kept in ${this.#folder} (${code ?? message}): the next run will not know`;
    }
  }
}

const hashOf = (identity: string): string => createHash('sha256').update(identity).digest('hex').slice(0, 16);

/** Never half of it: whoever reads meanwhile, or after a kill, finds the old text or the new one. */
function replace(path: string, text: string): void {
  const fresh = `${path}.${process.pid}`;
  writeFileSync(fresh, text);
  renameSync(fresh, path);
}

/** In a folder that can only be read, a record of which nothing is left stays and does no harm. */
function removeIfAllowed(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // It is tried again when the load is used next.
  }
}

function changedAt(path: string): number | null {
  try {
    return statSync(path).mtimeMs;
  } catch {
    return null;
  }
}
