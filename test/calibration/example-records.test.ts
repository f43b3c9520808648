import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { EXAMPLES, exampleRecords, residualTruth } from '../../scripts/example-records.js';
import { readBench } from '../../src/bench/bench-file.js';
import { openSimulated } from '../../src/bench/simulated/open-simulated.js';
import { floorAt } from '../../src/calibration/floor.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { responseAt } from '../../src/calibration/response.js';
import { usedRecords } from '../../src/calibration/used-records.js';

const ROOT = join(import.meta.dirname, '..', '..');
const DAY = '2026-03-01';
const TO_THE_LETTER = ['output', 'input', 'attenuator', 'load'] as const;

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
    const made = await exampleRecords(example, TO_THE_LETTER);
    const dated = [...made].filter(([name]) => /\d{4}-\d\d-\d\d/.test(name));
    // All but the responses and the floor, which are long to read.
    expect(dated).toHaveLength(readdirSync(folder).length - example.channels - 1);
    for (const [name, text] of dated) expect(text).toBe(shipped(name));
  }, 120_000);

  it('are within their own U of the truth of the twin that ships, which is off them by what calibrating left', () => {
    const path = join(ROOT, 'benches', `${example.bench}.yaml`);
    const setup = readBench(readFileSync(path), path, undefined, DAY);
    const bench = openSimulated(setup);
    const left = residualTruth(example, new Map(setup.channels.map((chain) => [chain.channel, chain])));
    for (const chain of setup.channels) {
      const truth = bench.trueChain(chain.channel);
      const off = left.get(chain.channel)!;
      const levels = [
        [truth.outputFullScale_Vpk / chain.outputFullScale_Vpk - 1, chain.outputStated],
        [truth.inputFullScale_Vpk / chain.inputFullScale_Vpk - 1, chain.inputStated],
        [truth.attenuator_ratio / chain.attenuator_ratio - 1, chain.attenuatorStated],
        ...chain.loads.map(
          ({ nominal_ohm, measured_ohm, stated }) =>
            [truth.load(nominal_ohm).cold_ohm / measured_ohm - 1, stated] as const,
        ),
      ] as const;
      for (const [error, stated] of levels)
        expect(100 * Math.abs(error)).toBeLessThan(
          2 * Math.hypot(...stated!.map((one) => one.standard_percent)),
        );
      // Corners take less than a tenth of a thousandth at 1 kHz; the twin's percents have four decimals.
      expect(truth.outputFullScale_Vpk / chain.outputFullScale_Vpk - 1).toBeCloseTo(off.outputLevel, 3);
      expect(truth.attenuator_ratio / chain.attenuator_ratio - 1).toBeCloseTo(off.attenuator, 5);
      for (const { frequency_Hz, level_dB, uncertainty_dB } of chain.response!.points)
        expect(Math.abs(truth.inputResponse_dB(frequency_Hz) - level_dB)).toBeLessThan(2 * uncertainty_dB);
    }
  });

  it('hold responses that a calibration of a few frequencies finds again', async () => {
    const again = await exampleRecords(example, ['response'], { frequencies_Hz: [100, 10_000, 20_000] });
    const responses = [...again].filter(([file]) => /^response-\d+-\d/.test(file));
    expect(responses).toHaveLength(example.channels);
    for (const [name, text] of responses) {
      const id = name.replace('.yaml', '');
      const known = readRecord(shipped(name), name, id).response!;
      for (const { frequency_Hz, level_dB } of readRecord(text, name, id).response!.points)
        expect(Math.abs(responseAt(known, frequency_Hz).level_dB - level_dB)).toBeLessThan(0.0002);
    }
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
