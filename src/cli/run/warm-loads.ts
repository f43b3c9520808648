import type { BenchSetup } from '../../bench/bench-setup.js';
import type { RunSummary } from '../../record/run-list.js';
import type { RunRecord } from '../../record/run-record.js';
import { earlierSessions } from '../../runner/course/earlier-sessions.js';
import { LoadHeat } from '../../runner/course/load-heat.js';
import { warmAsBefore } from '../../runner/course/warmth-before.js';
import type { LoadMemory, LoadWarmth } from '../../safety/load-memory.js';
import { makePlan } from '../../sequence/make-plan.js';
import { readSequence } from '../../sequence/sequence-file.js';
import type { RunStore } from '../../store/contract/run-store.js';
import {
  cooled,
  type KnownWarmth,
  LoadLedger,
  loadIdentity,
  untilCold_s,
} from '../../store/state/load-ledger.js';
import { stateFolder } from '../../store/state/state-folder.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { claimedPowers } from './given-claims.js';
import { storedBench } from './stored-bench.js';

/** A load forgets a run after so many time constants. */
const FORGETS = 5;
/** More runs than these do not end within that time. */
const MOST_RUNS = 50;

/**
 * How warm the loads of a bench are by all runs before: by the records in the user's state folder, whichever database these runs went
 * into, and by the runs of this database, whoever made them. Of both the warmer counts. Null for a bench that heats nothing.
 *
 * @param store the database, where there is one already
 * @param own number of a run that is resumed: what it left is known from itself
 */
export async function loadWarmthBefore(
  setup: BenchSetup,
  store: RunStore | null,
  own: number | null = null,
  now: () => number = Date.now,
): Promise<LoadMemory | null> {
  if (!setup.energises) return null;
  const ledger = new LoadLedger(stateFolder(), setup, now);
  const recorded = store ? await byDatabase(setup, store, own, now()) : new Map<string, LoadWarmth>();
  const found = ledger.read().map((known) => warmer(known, recorded.get(known.identity)));
  const before = found.filter(({ mean_W }) => mean_W > 0);
  return ledger.memory(before, found.flatMap(lineOf));
}

function warmer(known: KnownWarmth, recorded: LoadWarmth | undefined): KnownWarmth {
  if (recorded === undefined) return known;
  const { mean_W, energy_J } = recorded;
  return {
    ...known,
    mean_W: Math.max(known.mean_W, mean_W),
    energy_J: Math.max(known.energy_J, energy_J),
    by: known.by ?? 'a run in this database',
  };
}

/** What the operator must know of one load; nothing of one that is known to be cold. */
function lineOf({ channel, load, mean_W, by, damage }: KnownWarmth): string[] {
  const which = `the ${formatQuantity(load.nominal_ohm, 'ohm', { trim: true })} load of channel ${channel}`;
  if (by === null && damage === null) return [`No earlier run on ${which} is on record: it counts as cold.`];
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
    `${which[0]!.toUpperCase()}${which.slice(1)} is still warm from ${by ?? 'an earlier run'}: ${warm}. It is cold in ${formatDuration(untilCold_s(load, mean_W))}; until then the run rests where it must.`,
  ];
}

/** By identity, what the runs of a database have left in the loads of a bench. */
async function byDatabase(
  setup: BenchSetup,
  store: RunStore,
  own: number | null,
  now_ms: number,
): Promise<Map<string, LoadWarmth>> {
  const warm = new Map<string, LoadWarmth>();
  const longest_s = FORGETS * Math.max(...loadsOf(setup).map(({ load }) => load.thermal_s));
  const runs = (await store.runs({ limit: MOST_RUNS })).filter(
    ({ run, imported_from, ended }) =>
      run !== own && imported_from === null && !isLongOver(ended, now_ms, longest_s),
  );
  for (const { run } of runs) {
    const record = await store.run(run, { harmonics: false, spectra: false });
    const gone_s = Math.max(0, (now_ms - endOf(record)) / 1000);
    for (const { identity, load, ...left } of leftBy(record)) {
      const since = { ...left, ...cooled(left, load, gone_s) };
      const before = warm.get(identity);
      if (since.mean_W > (before?.mean_W ?? 0)) warm.set(identity, since);
    }
  }
  return warm;
}

const loadsOf = ({ channels }: BenchSetup) =>
  channels.flatMap(({ channel, loads }) => loads.map((load) => ({ channel, load })));

const isLongOver = (ended: RunSummary['ended'], now_ms: number, longest_s: number): boolean =>
  ended !== null && now_ms - Date.parse(ended) > 1000 * longest_s;

/** When the output of a run fell silent, milliseconds since 1970: a run whose program was killed has no end on record. */
function endOf({ ended, started, sessions, events, points }: RunRecord): number {
  if (ended !== null) return Date.parse(ended);
  const last = sessions.at(-1) ?? { started, at_s: 0 };
  const at_s = Math.max(last.at_s, events.at(-1)?.at_s ?? 0, points.at(-1)?.at_s ?? 0);
  return Date.parse(last.started) + 1000 * (at_s - last.at_s);
}

/** What a run has left in its loads when it ended: by its points, or as much as can be where these cannot be laid out any more. */
function leftBy(record: RunRecord) {
  let setup: BenchSetup;
  try {
    setup = storedBench(record);
  } catch {
    // A bench of another version, on which nothing of this one was played.
    return [];
  }
  if (!setup.energises) return [];
  const heat = new LoadHeat();
  let energy_J = 0;
  try {
    const sequence = readSequence(record.sequence.text, `the sequence of run ${record.run}`);
    const plan = makePlan(sequence, setup, { claims: claimedPowers(record.claim ?? '') });
    energy_J = warmAsBefore(heat, setup, plan, earlierSessions(plan, record));
  } catch {
    for (const { channel, load } of loadsOf(setup))
      heat.add(channel, load, load.rating_W, Number.POSITIVE_INFINITY);
  }
  return loadsOf(setup).map(({ channel, load }, i) => ({
    identity: loadIdentity(channel, load),
    load,
    channel,
    load_ohm: load.nominal_ohm,
    mean_W: Math.min(load.rating_W, heat.of(channel, load)),
    // Only the sum over all loads is of account.
    energy_J: i === 0 ? energy_J : 0,
  }));
}
