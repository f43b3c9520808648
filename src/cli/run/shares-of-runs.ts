import type { BenchSetup } from '../../bench/bench-setup.js';
import { kindOf, storedKind } from '../../bench/kinds.js';
import type { ChannelChain, Load } from '../../calibration/chain.js';
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
type Played = Pick<HeatShare, 'bench' | 'from_ms' | 'until_ms'>;

/**
 * @param isKept whether what a session of a bench, begun at that moment, has put into its loads is known otherwise
 */
export async function sharesOfRuns(
  setup: BenchSetup,
  store: RunStore,
  now_ms: number,
  isKept: (bench: string, started_ms: number) => boolean,
): Promise<SharesOfRuns> {
  const shares = new Map<string, HeatShare[]>();
  const add = (identity: string, share: HeatShare) =>
    shares.set(identity, [...(shares.get(identity) ?? []), share]);
  const unread: number[] = [];
  const takeWorst = (run: number, time: Played) => {
    unread.push(run);
    for (const { channel, load } of loadsOf(setup))
      add(loadIdentity(channel, load), unknownShare(load, time));
  };
  const matters_ms = now_ms - 1000 * FORGETS * Math.max(...loadsOf(setup).map(({ load }) => load.thermal_s));
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
      const begun = [record.started, ...record.sessions.map((session) => session.started)].map(Date.parse);
      if (begun.every((started_ms) => isKept(bench, started_ms))) continue;
      for (const [identity, share] of sharesOf(record, { ...time, until_ms: endOf(record) }))
        add(identity, share);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      takeWorst(run, time);
    }
  }
  return { shares, unread };
}

/** The newest runs, and of those that are not what was recorded when they can have played at most: by the runs around them. */
async function listed(store: RunStore, now_ms: number) {
  const altered: number[] = [];
  const sound = await store.runs({ limit: MOST_RUNS, altered: (run) => void altered.push(run) });
  const startedOf = ({ started }: RunSummary) => Date.parse(started);
  const times = altered.map((run): [number, Played] => [
    run,
    {
      bench: '',
      from_ms: Math.max(0, ...sound.filter((other) => other.run < run).map(startedOf)),
      until_ms: Math.min(now_ms, ...sound.filter((other) => other.run > run).map(startedOf)),
    },
  ]);
  return { sound, altered: times };
}

/** Not one that was made elsewhere, and none on a bench that is computed. */
function mayHaveDriven({ imported_from, bench_kind }: RunSummary): boolean {
  const kind = storedKind(bench_kind);
  return imported_from === null && kind !== null && !kindOf(kind).computed;
}

const loadsOf = ({ channels }: { readonly channels: readonly ChannelChain[] }) =>
  channels.flatMap(({ channel, loads }) =>
    loads.map((load): { channel: number; load: Load } => ({ channel, load })),
  );

/** When the output of a run fell silent: a run whose program was killed has no end on record. */
function endOf({ ended, started, sessions, events, points }: RunRecord): number {
  if (ended !== null) return Date.parse(ended);
  const last = sessions.at(-1) ?? { started, at_s: 0 };
  const at_s = Math.max(last.at_s, events.at(-1)?.at_s ?? 0, points.at(-1)?.at_s ?? 0);
  return Date.parse(last.started) + 1000 * (at_s - last.at_s);
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
  return loadsOf(setup).map(({ channel, load }) => {
    const mean_W = Math.min(load.rating_W, heat.of(channel, load));
    const share = { ...time, mean_W, energy_J: heat.energyOf(channel, load), thermal_s: load.thermal_s };
    return [loadIdentity(channel, load), known ? share : unknownShare(load, time)];
  });
}
