import { mkdirSync, readdirSync, readFileSync, renameSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openLog } from '../../../src/cli/run/run-log.js';
import { emptyFolder } from '../ohmest.js';

const ROTATION = { bytes: 2000, older: 2 };
const numbersIn = (path: string): number[] =>
  readFileSync(path, 'utf8')
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line).number);

function opened(folder: string, rotation = ROTATION) {
  const complaints: string[] = [];
  const log = openLog(join(folder, 'runs.db'), (text) => void complaints.push(text), rotation);
  return { log, complaints };
}

describe('the log of a run', () => {
  it('stays within its three files, whole lines in order, the newest kept', () => {
    const folder = emptyFolder();
    const { log, complaints } = opened(folder);
    for (let number = 1; number <= 200; number += 1) log.info({ number }, 'a line of a run');
    const files = readdirSync(folder).sort();
    expect(files).toEqual(['runs.db.log', 'runs.db.log.1', 'runs.db.log.2']);
    for (const file of files) expect(statSync(join(folder, file)).size).toBeLessThan(2000 + 200);
    const kept = ['runs.db.log.2', 'runs.db.log.1', 'runs.db.log'].flatMap((file) =>
      numbersIn(join(folder, file)),
    );
    expect(kept).toEqual(kept.map((_, i) => 200 - kept.length + 1 + i));
    expect(kept.length).toBeGreaterThan(40);
    expect(complaints).toEqual([]);
  });

  it('goes on in the new file when another program has moved the full one', () => {
    const folder = emptyFolder();
    const { log: first } = opened(folder);
    const { log: second } = opened(folder);
    first.info({ number: 1 }, 'one');
    second.info({ number: 2 }, 'two');
    for (let number = 3; number <= 30; number += 1) first.info({ number }, 'more');
    second.info({ number: 31 }, 'after the other has moved the file');
    const files = readdirSync(folder).sort();
    expect(files).toEqual(['runs.db.log', 'runs.db.log.1']);
    const all = [...numbersIn(join(folder, 'runs.db.log.1')), ...numbersIn(join(folder, 'runs.db.log'))];
    expect(all.sort((a, b) => a - b)).toEqual(Array.from({ length: 31 }, (_, i) => i + 1));
  });

  it('that cannot be written says so once and lets the run go on, and is written again when it can be', () => {
    const folder = emptyFolder();
    mkdirSync(join(folder, 'runs.db.log'));
    const { log, complaints } = opened(folder, { bytes: Number.MAX_SAFE_INTEGER, older: 2 });
    for (let number = 1; number <= 5; number += 1) log.info({ number }, 'lost');
    expect(complaints).toHaveLength(1);
    expect(complaints[0]).toContain(join(folder, 'runs.db.log'));
    renameSync(join(folder, 'runs.db.log'), join(folder, 'in-the-way'));
    log.info({ number: 6 }, 'kept');
    expect(numbersIn(join(folder, 'runs.db.log'))).toEqual([6]);
  });
});
