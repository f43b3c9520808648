import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Load } from '../../calibration/chain.js';
import { loadIdentity } from '../../calibration/load-identity.js';
import { type HeatShare, untilCold_s, warmthBy } from '../../safety/heat-shares.js';
import { KEEP_s, type LoadMemory, type LoadWarmth } from '../../safety/load-memory.js';
import type { RunStore } from '../../store/contract/run-store.js';
import { type KeptShares, LoadLedger } from '../../store/state/load-ledger.js';
import { stateFolder } from '../../store/state/state-folder.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { type Played, sharesOfRuns } from './shares-of-runs.js';

/**
 * How warm the loads of a bench are by all runs before: by the records in the user's state folder, whichever database these runs went
 * into, and by the runs of this database of which there is no such record. Null for a bench that heats nothing.
 *
 * @param store the database, where there is one already
 */
export async function loadWarmthBefore(
  setup: BenchSetup,
  store: RunStore | null,
  now: () => number = Date.now,
): Promise<LoadMemory | null> {
  if (!setup.energises) return null;
  const ledger = new LoadLedger(stateFolder(), setup, now);
  const loads = setup.channels.flatMap(({ channel, loads: own }) =>
    own.map((load) => ({
      ...{ channel, load, identity: loadIdentity(channel, load) },
      kept: ledger.sharesOf(channel, load),
    })),
  );
  const isKept = (identity: string, session: Played) => {
    const same = loads.filter((one) => one.identity === identity);
    const kept = same[0]!.kept.shares.filter((share) => covers(share, session));
    // A load that is moved from channel to channel has a share from each.
    return kept.length >= same.length;
  };
  const runs = store ? await sharesOfRuns(setup, store, now(), isKept) : { shares: new Map(), unread: [] };
  const found = loads.map(({ channel, load, identity, kept }): FoundLoad => {
    const shares = [...kept.shares, ...(runs.shares.get(identity) ?? [])];
    const warmth = { channel, load_ohm: load.nominal_ohm, ...warmthBy(load, shares, now()) };
    const newest = shares.toSorted((a, b) => b.until_ms - a.until_ms)[0];
    return { warmth, load, kept, by: newest?.bench ?? null };
  });
  const unread = runs.unread.map(
    (run) => `Run ${run} of this database is damaged: the loads count as at their ratings when it ended.`,
  );
  return {
    before: found.map(({ warmth }) => warmth).filter(({ mean_W }) => mean_W > 0),
    words: [...unread, ...found.flatMap(lineOf)],
    keep: (given) => ledger.keep(given),
  };
}

/**
 * Whether a share was kept by a session and up to its end: where the records could not be written any more, the rest of what was played
 * is known by the database only. What may be counted twice costs a rest, what is not counted a load.
 */
function covers({ bench, from_ms, until_ms }: HeatShare, session: Played): boolean {
  const isOfIt = bench === session.bench && from_ms <= session.from_ms && session.from_ms <= until_ms;
  return isOfIt && until_ms >= session.until_ms - 2000 * KEEP_s;
}

/** A load as it was found. */
interface FoundLoad {
  readonly warmth: LoadWarmth;
  readonly load: Load;
  readonly kept: KeptShares;
  /** Name of the bench whose run was the last; empty where it is not known, null where there was none. */
  readonly by: string | null;
}

/** What the operator must know of one load; nothing of one that is known to be cold. */
function lineOf({ warmth: { channel, mean_W }, load, kept: { damage }, by }: FoundLoad): string[] {
  const which = `the ${formatQuantity(load.nominal_ohm, 'ohm', { trim: true })} load of channel ${channel}`;
  if (by === null) return [`No earlier run on ${which} is on record: it counts as cold.`];
  const unread =
    damage === null
      ? []
      : [
          `The record of ${which} cannot be read (${damage}): it counts as warm as at its rating when the file last changed.`,
        ];
  if (mean_W === 0) return unread;
  const warm = `${formatQuantity(mean_W, 'W')} of its ${formatQuantity(load.rating_W, 'W')}`;
  return [
    ...unread,
    `${which[0]!.toUpperCase()}${which.slice(1)} is still warm from ${by || 'an earlier run'}: ${warm}. It is cold in ${formatDuration(untilCold_s(load, mean_W))}; until then the run rests where it must.`,
  ];
}
