import { existsSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { emptyFolder, filesIn, ohmest, put } from './ohmest.js';
import { device, programBench, SHORT } from './stand.js';

const RUN = ['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'];

/** A bench of which everything is asked that is asked of one with real equipment; answers may come through a pipe. */
function folder(): string {
  const cwd = emptyFolder();
  put(cwd, { 'short.yaml': SHORT, 'bench.yaml': programBench('practice'), 'device.mjs': device() });
  return cwd;
}

const played = (cwd: string) => existsSync(join(cwd, 'takes'));

describe('a bench that can put real power on terminals', () => {
  it.each([
    ['nobody to answer', '', 'NOBODY_TO_ASK'],
    ['too few answers', 'Ada\ny\n', 'NOBODY_TO_ASK'],
    ['no name', '\n', 'NAME_NEEDED'],
    ['a yes for a name', 'yes\nyes\n', 'NAME_NEEDED'],
    ['a letter for a name', 'A\nyes\n', 'NAME_NEEDED'],
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

  const planned = async (cwd: string) =>
    JSON.parse((await ohmest(['plan', 'short.yaml', '--bench', 'bench.yaml', '--json'], { cwd })).stdout);

  it('records what was confirmed, by whom and when; what concerns connections, after they were made', async () => {
    const cwd = folder();
    const { before_connecting, on_connections } = await planned(cwd);
    const ended = await ohmest(RUN, { cwd, input: `Ada\n${'yes\n'.repeat(30)}` });
    expect(ended.status).toBe(0);
    expect(played(cwd)).toBe(true);
    const { checklist, started, events } = JSON.parse(ended.stdout);
    expect(checklist.map(({ item }: { item: string }) => item)).toEqual(before_connecting);
    for (const answer of checklist) {
      expect([answer.answer, answer.by]).toEqual(['yes', 'Ada']);
      expect(Date.parse(answer.at)).toBeLessThanOrEqual(Date.parse(started));
    }
    const [connect, ...confirmed] = events
      .filter(({ kind }: { kind: string }) => kind === 'answered')
      .map(({ text }: { text: string }) => text);
    expect(connect).toMatch(/^Switch the unit off\..* Connect 8 ohm to channel 1/);
    expect(confirmed.slice(0, -1)).toEqual(on_connections);
    expect(confirmed.at(-1)).toMatch(/switch the unit on/);
  });

  it.each([
    ['the connections are not made', 0],
    ['a check on them is refused', 1],
    ['the unit is not switched on', -1],
  ])('stops with status 3 when %s, and nothing is played', async (_, place) => {
    const cwd = folder();
    const { before_connecting, on_connections } = await planned(cwd);
    const after = place < 0 ? on_connections.length + 1 : place;
    const yes = 'yes\n'.repeat(before_connecting.length + after);
    const ended = await ohmest(RUN, { cwd, input: `Ada\n${yes}no\n` });
    expect(ended.status).toBe(3);
    expect(JSON.parse(ended.stdout)).toMatchObject({ outcome: 'stopped', points: [] });
    expect(played(cwd)).toBe(false);
  });

  it('asks for the supply of the unit where the bench file states none, and rates by it', async () => {
    const cwd = folder();
    put(cwd, { 'bench.yaml': programBench('practice').replace(/unit_supply.*\n/, '') });
    const { before_connecting } = await planned(cwd);
    const upTo = `Ada\n${'yes\n'.repeat(before_connecting.length)}`;
    const rest = 'yes\n'.repeat(30);
    // The attenuator is rated 100 V peak.
    const low = await ohmest(RUN, { cwd, input: `${upTo}120\n${rest}` });
    expect([low.status, JSON.parse(low.stdout).error.code]).toEqual([2, 'RATING_BELOW_SUPPLY']);
    const none = await ohmest(RUN, { cwd, input: `${upTo}plenty\n0 V\n${rest}` });
    expect([none.status, JSON.parse(none.stdout).error.code]).toEqual([2, 'BAD_QUANTITY']);
    expect(played(cwd)).toBe(false);
    const ended = await ohmest(RUN, { cwd, input: `${upTo}90\n${rest}` });
    expect(ended.status).toBe(0);
    const { checklist, events } = JSON.parse(ended.stdout);
    expect(checklist.at(-1)).toMatchObject({
      item: expect.stringMatching(/highest voltage/),
      answer: '90 V',
    });
    expect(JSON.stringify(events)).toContain('rated for at least 90.0 V');
  });
});

describe('a bench with real hardware', () => {
  it.each([
    ['run', RUN],
    ['permit', ['permit', 'short.yaml', '--bench', 'bench.yaml', '--json']],
    ['calibrate', ['calibrate', 'floor', '--bench', 'bench.yaml', '--json']],
  ])('takes no answers from a pipe: %s', async (_, args) => {
    const cwd = folder();
    put(cwd, { 'bench.yaml': programBench('yes') });
    const ended = await ohmest(args, { cwd, input: 'yes\n'.repeat(60) });
    expect(ended.status).toBe(2);
    const { code, fix } = JSON.parse(ended.stdout).error;
    expect(code).toBe('TERMINAL_NEEDED');
    expect(fix).not.toMatch(/standard input|pipe/);
    expect(ended.stderr).not.toContain('Your name');
    expect(played(cwd)).toBe(false);
  });
});
