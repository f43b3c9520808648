import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { EXAMPLES, exampleRecords } from '../../scripts/example-records.js';
import { readBench } from '../../src/bench/bench-file.js';
import { floorAt } from '../../src/calibration/floor.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { usedRecords } from '../../src/calibration/used-records.js';

const ROOT = join(import.meta.dirname, '..', '..');
const DAY = '2026-03-01';

describe.each(EXAMPLES)('the records of the example bench $bench', (example) => {
  const folder = join(ROOT, 'calibration', example.bench);
  const shipped = (name: string) => readFileSync(join(folder, name), 'utf8');

  it('are all used by its bench file, which leaves nothing unstated', () => {
    const path = join(ROOT, 'benches', `${example.bench}.yaml`);
    const setup = readBench(readFileSync(path), path, undefined, DAY);
    const used = usedRecords(setup).map(({ id }) => `${id}.yaml`);
    expect(used.sort()).toEqual(readdirSync(folder).sort());
    for (const { inputStated, outputStated, attenuatorStated, loads, response } of setup.channels) {
      expect([inputStated, outputStated, attenuatorStated, response]).not.toContain(null);
      for (const { stated } of loads) expect(stated).not.toBeNull();
    }
    expect(setup.floor!.kind).toBe('measured');
  });

  it('are what its calibration gives, to the last letter', async () => {
    const made = await exampleRecords(example, ['output', 'input', 'attenuator', 'load', 'response']);
    const dated = [...made].filter(([name]) => /\d{4}-\d\d-\d\d/.test(name));
    expect(dated).toHaveLength(readdirSync(folder).length - 1);
    for (const [name, text] of dated) expect(text).toBe(shipped(name));
  }, 120_000);

  it('hold a floor that a calibration of a part of it finds again', async () => {
    const again = await exampleRecords(example, ['floor'], { frequencies_Hz: [1000], levels_dB: [-20, -3] });
    const [name, text] = [...again].find(([file]) => /^floor-\d/.test(file))!;
    const floor = readRecord(shipped(name), name, name.replace('.yaml', '')).floor!;
    const found = readRecord(text, name, name.replace('.yaml', '')).floor!;
    // Noise in a record of this length scatters by half a percent, and harmonics are the same.
    for (const point of found.kind === 'measured' ? found.points : [])
      expect(floorAt(floor, point.frequency_Hz, point.level_dB) / point.thdn_percent).toBeCloseTo(1, 1);
    expect(found.kind).toBe('measured');
  }, 120_000);
});
