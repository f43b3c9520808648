import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { openConnection } from '../../src/store/sqlite/connect.js';
import { liveImport, removeLeftovers } from '../../src/store/sqlite/import-bundle.js';
import { scratchFile } from './scratch.js';

it('files of an import stay as long as it lives, those of one that is over go, others are not touched', () => {
  const connection = openConnection(scratchFile(), 'create');
  try {
    const folder = `${connection.file}.captures`;
    mkdirSync(folder);
    const live = liveImport(connection);
    const [its, unfinished, foreign] = [
      `${live.owner}-point-0001-00000000.wav`,
      `${live.owner}-point-0002-00000000.wav.part`,
      'import-notes.wav',
    ].map((name) => join(folder, name)) as [string, string, string];
    for (const file of [its, unfinished, foreign]) writeFileSync(file, 'samples');
    const there = () => [its, unfinished, foreign].map((file) => existsSync(file));
    removeLeftovers(connection);
    expect(there()).toEqual([true, true, true]);
    live.release();
    removeLeftovers(connection);
    expect(there()).toEqual([false, false, true]);
  } finally {
    connection.db.close();
  }
});

it('a capture that a run names stays when its import was killed on its last step, but the lock goes', () => {
  const connection = openConnection(scratchFile(), 'create');
  const { db, file } = connection;
  try {
    const name = 'import-00000000002a-point-0001-00000000.wav';
    mkdirSync(`${file}.captures`);
    writeFileSync(join(`${file}.captures`, name), 'samples');
    writeFileSync(`${file}.run-42.lock`, '');
    db.pragma('foreign_keys = OFF');
    db.prepare(
      'INSERT INTO captures (run, point, file, sha256, rate_Hz, frames, channels) VALUES (1, 1, ?, ?, 48000, 1, ?)',
    ).run(name, '0'.repeat(64), '[1]');
    removeLeftovers(connection);
    expect(existsSync(join(`${file}.captures`, name))).toBe(true);
    expect(existsSync(`${file}.run-42.lock`)).toBe(false);
  } finally {
    db.close();
  }
});
