import type { BenchSetup } from '../../bench/bench-setup.js';
import { kindOf, storedKind } from '../../bench/kinds.js';
import type { ChannelChain } from '../../calibration/chain.js';
import { loadIdentity } from '../../calibration/load-identity.js';
import { InputError } from '../../errors/ohmest-error.js';
import type { RunSummary } from '../../record/run-list.js';
import type { RunRecord } from '../../record/run-record.js';
import { earlierSessions } from '../../runner/course/earlier-sessions.js';
import { LoadHeat } from '../../runner/course/load-heat.js';
import { warmAsBefore } from '../../runner/course/warmth-before.js';
import { type HeatShare, unknownShare } from '../../safety/heat-shares.js';
import { makePlan } from '../../sequence/make-plan.js';
import { readSequence } from '../../sequence/sequence-file.js';
import type { RunStore } from '../../store/contract/run-store.js';
import { claimedPowers } from './given-claims.js';
import { storedBench } from './stored-bench.js';

/** A load forgets a run after so many time constants. */
const FORGETS = 5;
/** More runs than these do not end within that time. */
const MOST_RUNS = 50;

/** What the runs of a database have put into the loads of a bench. */
export interface SharesOfRuns {
  /** By identity of the load. */
  readonly shares: ReadonlyMap<string, readonly HeatShare[]>;
  /** Runs that cannot be read, in whose place the worst is taken. */
  readonly unread: readonly number[];
}

/** When a run played: milliseconds since 1970. */
export type Played = Pick<HeatShare, 'bench' | 'from_ms' | 'until_ms'>;

/**
 * @param isKept whether what a session has put into the load of that identity is known otherwise
 */
export async function sharesOfRuns(
  setup: BenchSetup,
  store: RunStore,
  now_ms: number,
  isKept: (identity: string, session: Played) => boolean,
): Promise<SharesOfRuns> {
  const loads = loadsOf(setup);
  const shares = new Map<string, HeatShare[]>();
  const add = (identity: string, share: HeatShare) =>
    shares.set(identity, [...(shares.get(identity) ?? []), share]);
  const unread: number[] = [];
  const takeWorst = (run: number, time: Played) => {
    unread.push(run);
    for (const [identity, { load }] of loads) add(identity, unknownShare(load, time));
  };
  const matters_ms =
    now_ms - 1000 * FORGETS * Math.max(...[...loads.values()].map(({ load }) => load.thermal_s));
  const { sound, altered } = await listed(store, now_ms);
  for (const [run, time] of altered) if (time.until_ms > matters_ms) takeWorst(run, time);
  for (const { run, bench, started, ended } of sound.filter(mayHaveDriven)) {
    const time = {
      bench,
      from_ms: Date.parse(started),
      until_ms: ended === null ? now_ms : Date.parse(ended),
    };
    if (time.until_ms <= matters_ms) continue;
    try {
      const record = await store.run(run, { harmonics: false, spectra: false });
      const sessions = sessionsOf(record);
      const unkept = new Set(
        [...loads.keys()].filter((identity) => !sessions.every((session) => isKept(identity, session))),
      );
      if (unkept.size === 0) continue;
      // A run whose program was killed has no end on record.
      const until_ms = record.ended === null ? sessions.at(-1)!.until_ms : time.until_ms;
      for (const [identity, share] of sharesOf(record, { ...time, until_ms }))
        if (unkept.has(identity)) add(identity, share);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      takeWorst(run, time);
    }
  }
  return { shares, unread };
}

/** The newest runs, and of those that are not what was recorded when they can have played at most: by the runs around them. */
async function listed(store: RunStore, now_ms: number) {
  const altered: { run: number; resumed_ms: number }[] = [];
  const sound = await store.runs({
    limit: MOST_RUNS,
    altered: (run, resumed_ms) => void altered.push({ run, resumed_ms }),
  });
  const startedOf = ({ started }: RunSummary) => Date.parse(started);
  const times = altered.map(({ run, resumed_ms }): [number, Played] => [
    run,
    {
      bench: '',
      from_ms: Math.max(0, ...sound.filter((other) => other.run < run).map(startedOf)),
      // A run that was resumed has played after others that were begun later than it.
      until_ms: Math.min(
        now_ms,
        ...sound.filter((other) => other.run > run && startedOf(other) > resumed_ms).map(startedOf),
      ),
    },
  ]);
  return { sound, altered: times };
}

/** Not one that was made elsewhere, and none on a bench that is computed. */
function mayHaveDriven({ imported_from, bench_kind }: RunSummary): boolean {
  const kind = storedKind(bench_kind);
  return imported_from === null && kind !== null && !kindOf(kind).computed;
}

/** Each load once, by its identity, on a channel that it is used on; where these rate it differently, with the highest rating. */
function loadsOf({ channels }: { readonly channels: readonly ChannelChain[] }) {
  const all = channels.flatMap(({ channel, loads }) => loads.map((load) => ({ channel, load })));
  return new Map(
    all
      .toSorted((a, b) => a.load.rating_W - b.load.rating_W)
      .map((one) => [loadIdentity(one.channel, one.load), one]),
  );
}

/** When each session of a run played: up to where the next one continued, the last up to what was recorded last. */
function sessionsOf({ bench, started, sessions, events, points }: RunRecord): Played[] {
  const all = [{ started, at_s: 0 }, ...sessions];
  const last_s = Math.max(events.at(-1)?.at_s ?? 0, points.at(-1)?.at_s ?? 0);
  return all.map((session, i) => {
    const from_ms = Date.parse(session.started);
    const seconds = Math.max(0, (all[i + 1]?.at_s ?? last_s) - session.at_s);
    return { bench: bench.name, from_ms, until_ms: from_ms + 1000 * seconds };
  });
}

/** What a run has put into its loads: by its points, or as much as can be where these cannot be laid out any more. */
function sharesOf(record: RunRecord, time: Played): [identity: string, share: HeatShare][] {
  let setup: BenchSetup;
  try {
    setup = storedBench(record);
  } catch {
    // A bench of another version, on which nothing of this one was played.
    return [];
  }
  if (!setup.energises) return [];
  const heat = new LoadHeat();
  let known = true;
  try {
    const sequence = readSequence(record.sequence.text, `the sequence of run ${record.run}`);
    const plan = makePlan(sequence, setup, { claims: claimedPowers(record.claim ?? '') });
    warmAsBefore(heat, setup, plan, earlierSessions(plan, record));
  } catch {
    known = false;
  }
  return [...loadsOf(setup)].map(([identity, { channel, load }]) => {
    const mean_W = Math.min(load.rating_W, heat.of(channel, load));
    const share = { ...time, mean_W, energy_J: heat.energyOf(channel, load), thermal_s: load.thermal_s };
    return [identity, known ? share : unknownShare(load, time)];
  });
}
