import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { emptyFolder, ohmest } from './ohmest.js';

/*
 * The first ten lines that `show` prints of many runs, in one file that a person can read aloud: what a reader takes away.
 * Whoever changes a sentence sees in review what became of all of them.
 */

/** The larger the bench, the fewer: a sequence takes a core half a minute and more on eight channels. */
const PLAYED: Readonly<Record<string, readonly string[]>> = {
  'ideal-40': ['quick-look', 'rated-power', 'repair-check'],
  'stiff-pair': ['quick-look', 'rated-power', 'repair-check'],
  'switching-treble': ['quick-look', 'rated-power', 'repair-check'],
  'repaired-crossover': ['quick-look', 'rated-power', 'repair-check'],
  'installed-eight': ['quick-look'],
};
/** Invented claims, on both sides of what these units give. */
const CLAIMED: readonly (readonly [sequence: string, bench: string, claim: string])[] = [
  ['rated-power', 'stiff-pair', '100 W, 8 ohm, 1 % THD+N, 20 Hz to 20 kHz, 2 channels'],
  ['rated-power', 'ideal-40', '100 W, 8 ohm, 0.1 % THD+N, 1 kHz'],
];
const FIXTURE = join(import.meta.dirname, '..', 'fixtures', 'v0.1', 'runs.db.gz');
const OLD_RUNS = [1, 2, 3, 4, 6, 7, 8, 9, 10, 11];

const patient = { timeout: 600_000 };

async function firstLines(cwd: string, db: string, run: number): Promise<string> {
  const { status, stdout, stderr } = await ohmest(['show', String(run), '--db', db], { cwd });
  expect(status, stderr).toBe(0);
  return stdout.split('\n').slice(0, 10).join('\n').trimEnd();
}

async function played(cwd: string, sequence: string, bench: string, claim: string | null): Promise<string> {
  const db = `${[sequence, bench, claim?.length].join('-')}.db`;
  const claimed = claim === null ? [] : ['--claim', claim];
  const { status, stderr } = await ohmest(
    ['run', sequence, '--bench', bench, '--unit', `Invented unit on ${bench}`, '--db', db, ...claimed],
    { cwd },
  );
  const title = `== ${sequence} on ${bench}${claim === null ? '' : `, claim ${claim}`} (exit ${status})`;
  // A sequence that a bench cannot play is refused, which is an answer, too.
  return status === 2
    ? `${title}\n${stderr.trim().split('\n').slice(0, 4).join('\n')}`
    : `${title}\n${await firstLines(cwd, db, 1)}`;
}

/** A run of today is dated by the day it was made. */
const undated = (text: string): string => text.replace(/\d{4}-\d\d-\d\d \d\d:\d\d(:\d\d)?/g, 'DATE');

describe('the first ten lines of show', patient, () => {
  it('of every shipped bench are as they were read aloud', async () => {
    const cwd = emptyFolder();
    const wanted = [
      ...Object.entries(PLAYED).flatMap(([bench, sequences]) =>
        sequences.map((sequence) => [sequence, bench, null] as const),
      ),
      ...CLAIMED,
    ];
    const texts = await Promise.all(
      [0, 1].map(async (half) => {
        const own: string[] = [];
        for (const [i, [sequence, bench, claim]] of wanted.entries())
          if (i % 2 === half) own[i] = await played(cwd, sequence, bench, claim);
        return own;
      }),
    ).then(([even, odd]) => wanted.map((_, i) => (i % 2 === 0 ? even! : odd!)[i]!));
    await expect(undated(`${texts.join('\n\n')}\n`)).toMatchFileSnapshot('first-lines/shipped.txt');
  });

  it('of runs of version 0.1 are as they were read aloud', async () => {
    const cwd = emptyFolder();
    writeFileSync(join(cwd, 'old.db'), gunzipSync(readFileSync(FIXTURE)));
    const texts: string[] = [];
    for (const run of OLD_RUNS)
      texts.push(`== run ${run} of version 0.1\n${await firstLines(cwd, 'old.db', run)}`);
    await expect(undated(`${texts.join('\n\n')}\n`)).toMatchFileSnapshot('first-lines/version-0.1.txt');
  });
});
