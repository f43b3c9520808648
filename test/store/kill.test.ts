import { readdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { describe, expect, it } from 'vitest';
import { DIED } from '../../src/record/end-cause.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedPoint, inventedReading, inventedRun, recordRun } from './invented-run.js';
import { startPointProgram } from './programs/start-program.js';
import { scratchFile } from './scratch.js';

// Each program started costs about a second on a busy machine.
const patient = { timeout: 90_000 };

describe('a program killed while it records', patient, () => {
  it('has lost no point that was acknowledged, and doubled none', async () => {
    const file = scratchFile();
    for (const target of [1, 2, 17, 150, 400]) {
      const program = await startPointProgram(file, `killed after ${target}`);
      await program.reached(target);
      const acknowledged = await program.kill();
      const store = openRuns(file, { mode: 'write' });
      const { points, readings } = store.run(program.run);
      store.close();
      // One more may have been committed without having been acknowledged.
      expect(points.length - acknowledged).toBeGreaterThanOrEqual(0);
      expect(points.length - acknowledged).toBeLessThanOrEqual(1);
      const expected = points.map((_, index) => inventedPoint(index + 1));
      expect(points).toEqual(expected);
      expect(readings).toEqual(expected.flatMap((point) => [1, 2].map((one) => inventedReading(point, one))));
    }
  });

  it('leaves a run that shows as interrupted, and only then', async () => {
    const file = scratchFile();
    const program = await startPointProgram(file, 'first');
    const other = await startPointProgram(file, 'second');
    const store = openRuns(file, { mode: 'write' });
    const seen = (run: number) => {
      const { outcome, reason, ended } = store.run(run);
      return { outcome, reason, ended };
    };
    expect(seen(program.run)).toEqual({ outcome: 'running', reason: '', ended: null });
    await program.kill();
    const died = { outcome: 'interrupted', reason: DIED, ended: null };
    expect(seen(program.run)).toEqual(died);
    expect(seen(other.run).outcome).toBe('running');
    expect(store.runs().map(({ outcome }) => outcome)).toEqual(['running', 'interrupted']);

    await other.kill();
    const third = recordRun(store, inventedRun('third'), 'completed', '');
    expect(third).toBe(3);
    store.close();
    const again = openRuns(file, { mode: 'write' });
    expect(again.runs().map(({ outcome }) => outcome)).toEqual(['completed', 'interrupted', 'interrupted']);
    again.close();
    expect(readdirSync(dirname(file))).toEqual(['runs.db']);
  });
});

describe('programs that record at the same time', patient, () => {
  it('each get all of their own points', async () => {
    const file = scratchFile();
    const programs = await Promise.all(
      ['left', 'middle', 'right'].map((one) => startPointProgram(file, one)),
    );
    const reader = openRuns(file, { mode: 'read' });
    await Promise.all(programs.map((program) => program.reached(40)));
    for (const { run } of programs) expect(reader.run(run).points.length).toBeGreaterThanOrEqual(40);
    const acknowledged = await Promise.all(programs.map((program) => program.kill()));
    programs.forEach(({ run }, index) => {
      const { points, readings } = reader.run(run);
      expect(points.map(({ number }) => number)).toEqual(points.map((_, at) => at + 1));
      expect(points.length).toBeGreaterThanOrEqual(acknowledged[index]!);
      expect(readings).toHaveLength(2 * points.length);
    });
    expect(new Set(programs.map(({ run }) => run)).size).toBe(3);
    reader.close();
  });
});
