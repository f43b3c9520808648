import { existsSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { emptyFolder, filesIn, ohmest, put } from './ohmest.js';
import { device, programBench, SHORT } from './stand.js';

const RUN = ['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'];

/** A bench that drives real equipment, as far as ohmest knows. */
function folder(): string {
  const cwd = emptyFolder();
  put(cwd, { 'short.yaml': SHORT, 'bench.yaml': programBench('yes'), 'device.mjs': device() });
  return cwd;
}

const played = (cwd: string) => existsSync(join(cwd, 'takes'));

describe('a bench that can put real power on terminals', () => {
  it.each([
    ['nobody to answer', '', 'NOBODY_TO_ASK'],
    ['too few answers', 'Ada\ny\n', 'NOBODY_TO_ASK'],
    ['no name', '\n', 'CHECKLIST_REFUSED'],
    ['an answer of no', 'Ada\ny\nno\n', 'CHECKLIST_REFUSED'],
    ['an answer that is neither', 'Ada\nperhaps\n', 'CHECKLIST_REFUSED'],
  ])('with %s ends with status 2, and nothing is played', async (_, input, code) => {
    const cwd = folder();
    const ended = await ohmest(RUN, { cwd, input });
    expect(ended.status).toBe(2);
    expect(JSON.parse(ended.stdout).error.code).toBe(code);
    expect(played(cwd)).toBe(false);
    expect(filesIn(cwd)).toEqual(['bench.yaml', 'device.mjs', 'short.yaml']);
  });

  it('leaves a database that was there as it was when the checklist is refused', async () => {
    const cwd = folder();
    openRuns(join(cwd, 'ohmest.db'), { mode: 'create' }).close();
    expect((await ohmest(RUN, { cwd, input: 'Ada\nno\n' })).status).toBe(2);
    expect(JSON.parse((await ohmest(['runs', '--json'], { cwd })).stdout).runs).toEqual([]);
  });

  it.each([
    ['is none', 'notes.txt', 'STORE_NOT_A_DATABASE'],
    ['cannot be made', 'missing/runs.db', 'STORE_FOLDER_MISSING'],
    ['would lie inside a file', 'notes.txt/runs.db', 'STORE_FOLDER_MISSING'],
    ['would lie where nothing can be made', '/proc/runs.db', 'STORE_UNREACHABLE'],
  ])('asks nothing when the database %s', async (_, db, code) => {
    const cwd = folder();
    put(cwd, { 'notes.txt': 'not a database '.repeat(20) });
    const ended = await ohmest([...RUN, '--db', db], { cwd, input: 'Ada\n' });
    expect(ended.status).toBe(2);
    expect(JSON.parse(ended.stdout).error.code).toBe(code);
    expect(ended.stderr).not.toContain('Your name');
  });

  it('asks nothing when another program holds the database', async () => {
    const cwd = folder();
    const file = join(cwd, 'ohmest.db');
    openRuns(file, { mode: 'create' }).close();
    const holder = new Database(file);
    holder.exec('BEGIN EXCLUSIVE');
    try {
      const ended = await ohmest(RUN, { cwd, input: 'Ada\n' });
      expect([ended.status, JSON.parse(ended.stdout).error.code]).toEqual([2, 'STORE_LOCKED']);
      expect(ended.stderr).not.toContain('Your name');
    } finally {
      holder.close();
    }
  }, 15_000);

  it('with every answer given records what was confirmed, by whom and when', async () => {
    const cwd = folder();
    const plan = JSON.parse(
      (await ohmest(['plan', 'short.yaml', '--bench', 'bench.yaml', '--json'], { cwd })).stdout,
    );
    const ended = await ohmest(RUN, { cwd, input: `Ada\n${'yes\n'.repeat(plan.checklist.length + 1)}` });
    expect(ended.status).toBe(0);
    expect(played(cwd)).toBe(true);
    const { checklist, started } = JSON.parse(ended.stdout);
    expect(checklist.map(({ item }: { item: string }) => item)).toEqual(plan.checklist);
    for (const answer of checklist) {
      expect([answer.answer, answer.by]).toEqual(['yes', 'Ada']);
      expect(Date.parse(answer.at)).toBeLessThanOrEqual(Date.parse(started));
    }
  });

  it('asks before the load is connected, and stops with status 3 when that is not answered', async () => {
    const cwd = folder();
    const plan = JSON.parse(
      (await ohmest(['plan', 'short.yaml', '--bench', 'bench.yaml', '--json'], { cwd })).stdout,
    );
    const ended = await ohmest(RUN, { cwd, input: `Ada\n${'yes\n'.repeat(plan.checklist.length)}` });
    expect(ended.status).toBe(3);
    expect(JSON.parse(ended.stdout)).toMatchObject({ outcome: 'stopped', points: [] });
    expect(played(cwd)).toBe(false);
  });
});
