/**
 * A program to be killed: begins a run in the database named by its first argument and writes points
 * without end. Says on stdout the run's number, then each point's number once the store has taken it.
 */
import { openRuns } from '../../../src/store/sqlite/sqlite-runs.js';
import { inventedPoint, inventedReading, inventedRun } from '../invented-run.js';

const [file = '', label = 'invented'] = process.argv.slice(2);
// On a pipe this returns once the line is in it, also when the reader is slow (Node's manual, "process I/O").
const say = (number: number): void => {
  process.stdout.write(`${number}\n`);
};

const writer = openRuns(file, { mode: 'create', wait_ms: 20_000 }).createRun(inventedRun(label));
say(writer.run);
for (let number = 1; ; number += 1) {
  const point = inventedPoint(number);
  writer.append({
    kind: 'point',
    point: point,
    readings: [inventedReading(point, 1), inventedReading(point, 2)],
  });
  say(number);
}
