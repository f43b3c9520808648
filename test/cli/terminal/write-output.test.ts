import { execFileSync, spawn } from 'node:child_process';
import { existsSync, linkSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { presentRun } from '../../../src/cli/run/hold-session.js';
import { reportFailure } from '../../../src/cli/terminal/fail.js';
import { requireWritable, writeUserText } from '../../../src/cli/terminal/write-output.js';
import type { OhmestError } from '../../../src/errors/ohmest-error.js';
import { writeSpecial } from '../../../src/files/write-special.js';
import { invented } from '../../document/fixture.js';

const folder = mkdtempSync(join(tmpdir(), 'ohmest-write-output-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const at = (name: string) => join(folder, name);

const DATABASE = 'SQLite format 3\0 and runs';
const BENCH = 'name: My bench\n';
const LOG = '{"level":30,"time":"2026-01-02T03:04:05Z"}\n';
const ARCHIVE = `PK\u0003\u0004${'.'.repeat(26)}holiday.jpg`;

function listener() {
  const said: string[] = [];
  const terminal = {
    out: () => undefined,
    err: (text: string) => void said.push(text),
    live: false,
    width: 80,
    talkWidth: 80,
    colour: false,
  };
  return { said, terminal };
}

describe('a document that is written', () => {
  beforeEach(() => {
    writeFileSync(at('runs.db'), DATABASE);
    writeFileSync(at('bench.yaml'), BENCH);
    writeFileSync(at('runs.db.log'), LOG);
    writeFileSync(at('pictures.zip'), ARCHIVE);
  });

  it('never takes the place of a database, a bench file, a log or another archive, by whatever name', async () => {
    symlinkSync(at('runs.db'), at('link'));
    linkSync(at('runs.db'), at('hard'));
    for (const name of ['runs.db', 'link', 'hard', 'bench.yaml', 'runs.db.log', 'pictures.zip'])
      for (const kind of ['page', 'bundle', 'csv', 'json'] as const) {
        await expect(writeUserText(at(name), 'new', kind)).rejects.toThrow(/another kind stands here/);
        expect(() => requireWritable(at(name), kind)).toThrow(/another kind stands here/);
      }
    expect(readFileSync(at('runs.db'), 'latin1')).toBe(DATABASE);
    expect(readFileSync(at('bench.yaml'), 'utf8')).toBe(BENCH);
  });

  it('may take the place of an earlier one of its kind, and of an empty file', async () => {
    const documents = {
      page: '<!doctype html>\n<html>',
      bundle: `PK\u0003\u0004${'.'.repeat(26)}manifest.json`,
      csv: 'run,unit,bench\n',
      json: '{\n "run": 1}',
    } as const;
    for (const [kind, text] of Object.entries(documents)) {
      writeFileSync(at(kind), '');
      for (const more of ['', ' and more']) {
        await writeUserText(at(kind), text + more, kind as keyof typeof documents);
        expect(readFileSync(at(kind), 'utf8')).toBe(text + more);
      }
    }
  });

  it('is refused the names under which a database keeps files of its own, also while there are none', () => {
    for (const end of ['-wal', '-shm', '-journal'])
      expect(() => requireWritable(at(`runs.db${end}`), 'csv')).toThrow(
        /a database keeps its own files under this/,
      );
    expect(() => requireWritable(at('nothing-wal'), 'csv')).not.toThrow();
  });

  it('is refused the place where the runs will be recorded before that is there', () => {
    expect(() => requireWritable(at('new.db'), 'page', `${folder}/./new.db`)).toThrow(
      /runs are recorded into this file/,
    );
    expect(() => requireWritable(at('new.db-wal'), 'page', at('new.db'))).toThrow(
      /runs are recorded into this/,
    );
    expect(() => requireWritable(at('new.html'), 'page', at('new.db'))).not.toThrow();
  });

  it('is refused no name at all, and a pipe that lies in a folder, which would be waited for', async () => {
    execFileSync('mkfifo', [at('pipe')]);
    const nameless = 'the name of the file to write is empty. Name a file.';
    expect(() => requireWritable('', 'page')).toThrow(nameless);
    await expect(writeUserText('', 'new', 'page')).rejects.toThrow(nameless);
    const waiting = `${at('pipe')}: this is a pipe, which waits until somebody reads.`;
    expect(() => requireWritable(at('pipe'), 'csv')).toThrow(waiting);
    await expect(writeUserText(at('pipe'), 'new', 'csv')).rejects.toThrow(waiting);
  });

  it('goes to a device or an open pipe, and waits for none: a full one, and one that nobody reads, are told', async () => {
    await writeUserText('/dev/null', 'new', 'page');
    await expect(writeUserText('/dev/full', 'new', 'page')).rejects.toThrow('/dev/full: the disk is full');
    expect(() => requireWritable('/dev/null', 'bundle')).toThrow('a device or a pipe, not a file');
    const pipe = `/dev/shm/ohmest-pipe-${process.pid}`;
    execFileSync('mkfifo', [pipe]);
    try {
      expect(() => requireWritable(pipe, 'page')).toThrow('this is a pipe, which waits until somebody reads');
      expect(() => writeSpecial(pipe, 'new')).toThrow(expect.objectContaining({ code: 'ENXIO' }));
      // More than a pipe holds at a time.
      const long = 'x'.repeat(300_000);
      const reader = spawn('wc', ['-c', pipe]);
      const counted = new Promise<string>((resolve) =>
        reader.stdout.once('data', (data) => resolve(`${data}`)),
      );
      await vi.waitFor(() => writeSpecial(pipe, long), { timeout: 5000, interval: 5 });
      expect(await counted).toMatch(/^300000 /);
    } finally {
      rmSync(pipe);
    }
  });

  it('is refused a name that is too long in words', () => {
    expect(() => requireWritable(at('a'.repeat(300)), 'bundle')).toThrow(/name is too long/);
  });
});

describe('a report that can no longer be written when the run has ended', () => {
  it('is told of, with the way to make it later, and the run is kept', async () => {
    const { said, terminal } = listener();
    const record = invented();
    expect(await presentRun(terminal, record, { db: 'a.db', report: at('gone/page.html') })).toBe(false);
    expect(said.at(-1)).toContain('gone/page.html: the folder it should go into does not exist');
    expect(said.at(-1)).toContain(`\`ohmest report ${record.run} -o FILE --db a.db\``);
    expect(existsSync(at('gone'))).toBe(false);
  });
});

describe('a failure', () => {
  it('shows both ends of a name that is too long to read', () => {
    const { said, terminal } = listener();
    const name = `/none/${'a'.repeat(99_990)}/end`;
    try {
      requireWritable(name, 'page');
    } catch (error) {
      expect(reportFailure(error as OhmestError, terminal, false)).toBe(2);
    }
    expect(said.join().length).toBeLessThan(800);
    expect(said.join().replace(/\s/g, '')).toMatch(/ohmest:\/none\/a+…a+\/end:thenameistoolong/);
  });
});
