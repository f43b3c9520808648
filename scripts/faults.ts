/**
 * Lets things go wrong while ohmest measures, and prints what became of each, as docs/faults.md holds it:
 * `npm run faults -- [--only NAME,...] [--where simulated,around,sound,stream,command] [--short] [--seed S]`. At most 15 minutes. A fault that had
 * no effect counts as missed. Exit status 1 when a target is missed, 2 for bad arguments.
 */
import { parseArgs } from 'node:util';
import { ATTEMPT_ENTRIES } from './faults/attempt-entries.js';
import { ENTRIES, type Entry, rowWithin, type Where } from './faults/campaign.js';
import type { Row } from './faults/row.js';
import { SOUND_ENTRIES } from './faults/sound-entries.js';
import { STREAM_ENTRIES } from './faults/stream-entries.js';
import { faultTable } from './faults/table.js';

/** Ends the program when something hangs so badly that the budgets of single faults do not help. */
const LONGEST_ms = 15 * 60_000;

const ALL: readonly Entry[] = [...ENTRIES, ...SOUND_ENTRIES, ...STREAM_ENTRIES, ...ATTEMPT_ENTRIES];
const PLACES: readonly (readonly [Where, string])[] = [
  ['simulated', 'On the simulated bench'],
  ['around', 'Around the run: disk, database, log, clock, sensors'],
  ['sound', 'On the path of sound'],
  ['stream', 'In a program that streams'],
  ['command', 'In the way of a single command: loads, permits, programs, files, words'],
];

function refuse(what: string): never {
  console.error(`faults: ${what}`);
  process.exit(2);
}

function listed(text: string | undefined, known: readonly string[], option: string): readonly string[] {
  const given = text === undefined ? known : text.split(',');
  const stranger = given.find((name) => !known.includes(name));
  if (stranger === undefined) return given;
  return refuse(`${option} does not know ${stranger}; it takes some of ${known.join(', ')}`);
}

function asked() {
  const text = { type: 'string' } as const;
  try {
    const options = {
      only: text,
      where: text,
      seed: { ...text, default: '1' },
      short: { type: 'boolean' },
    } as const;
    return parseArgs({ options }).values;
  } catch (error) {
    return refuse((error as Error).message);
  }
}

const { only, where, seed, short = false } = asked();
if (!/^\d{1,9}$/.test(seed)) refuse(`--seed takes a whole number, got ${seed}`);
const names = listed(only, [...new Set(ALL.map((entry) => entry.name))], '--only');
const places = listed(
  where,
  PLACES.map(([place]) => place),
  '--where',
);
setTimeout(() => refuse('not over after 15 minutes'), LONGEST_ms).unref();

let missed = 0;
for (const [place, title] of PLACES) {
  const entries = ALL.filter(
    (entry) => entry.where === place && places.includes(place) && names.includes(entry.name),
  );
  const rows: Row[] = [];
  for (const entry of entries) {
    const row = await rowWithin(entry, short, Number(seed));
    const misses = row.trials.flatMap((trial) => trial.misses);
    console.error(`${entry.name}: ${misses.length === 0 ? 'as it must be' : misses.join('; ')}`);
    missed += misses.length;
    rows.push(row);
  }
  if (rows.length > 0)
    console.log(`\n## ${title}\n\n${faultTable(rows, place === 'command' ? 'commands' : 'runs')}`);
}
console.log(
  `\n${missed === 0 ? 'No target was missed, but for what is said below the tables.' : `${missed} misses; stderr names them.`}`,
);
process.exit(missed === 0 ? 0 : 1);
