/**
 * A program to be killed: brings the bundle named by its second argument into the database named by its first. Says on
 * stdout how many captures it has written so far; with a third argument it stops inside the transaction instead, all rows
 * inserted and none committed.
 */
import { existsSync } from 'node:fs';
import Database from 'better-sqlite3';
import { readBundle } from '../../../src/bundle/read-bundle.js';
import { openRuns } from '../../../src/store/sqlite/sqlite-runs.js';

const [file = '', path = '', place = ''] = process.argv.slice(2);
// On a pipe this returns once the line is in it (Node's manual, "process I/O").
const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};
const forever = (): never => {
  while (existsSync(file)) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 20);
  throw new Error('the database is gone');
};

const store = openRuns(file, { mode: 'create', wait_ms: 20_000 });
const bundle = await readBundle(path);
let written = 0;
const incoming = {
  ...bundle,
  capture: async (point: number) => {
    say(`captures ${written}`);
    if (written === 1 && place === 'captures') forever();
    written += 1;
    return await bundle.capture(point);
  },
};
if (place === 'rows') {
  const { transaction } = Database.prototype;
  // Everything is inserted when the work of the transaction returns, and nothing is committed yet.
  Database.prototype.transaction = function stopping(
    this: Database.Database,
    work: (...args: never[]) => unknown,
  ) {
    return transaction.call(this, (...args: never[]) => {
      const result = work(...args);
      if (this.prepare('SELECT count(*) FROM imports').pluck().get() === 0) return result;
      say('rows in');
      return forever();
    });
  } as typeof transaction;
}
await store.importRun(incoming);
say('done');
