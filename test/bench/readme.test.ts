import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { memoryDisk } from './memory-disk.js';

const readme = readFileSync(new URL('../../benches/README.md', import.meta.url), 'utf8');
const blocks = [...readme.matchAll(/```yaml\n(.*?)```/gs)].map(([, text]) => text!);

const RECORDS = {
  output: 'value: 2 V rms',
  input: 'value: 2 V rms\nuncertainty: 0.1 %',
  attenuator: 'value: 25\nuncertainty: 0.1 %',
  load: 'nominal: 8 ohm\nvalue: 8.01 ohm\nuncertainty: 0.1 %',
  response:
    'points: [{frequency: 20 Hz, level: 0 dB, uncertainty: 0 dB}, {frequency: 20 kHz, level: 0 dB, uncertainty: 0 dB}]',
  shunt: 'value: 0.1 ohm',
};

describe('the bench files in benches/README.md', () => {
  it('are read as they stand', () => {
    const setup = readBench(blocks[0]!, '/b/left.yaml', memoryDisk({}), '2026-03-01');
    expect(setup.channels[0]!.loads[0]!.measured_ohm).toBe(8.06);
  });

  it('name probes', () => {
    const written = blocks.find((block) => block.startsWith('probes:'))!;
    const { sensors: probes } = readBench(blocks[0]! + written, '/b/left.yaml', memoryDisk({}), '2026-03-01');
    expect(probes).toMatchObject([
      { name: 'heatsink', unit: '°C', high: 85, low: null, needed: true },
      { name: 'mains', unit: 'V', every_s: 60, timeout_s: 5, high: 245, low: 220, needed: false },
    ]);
  });

  it('find their records by family in the folder of the bench', () => {
    const files = Object.entries(RECORDS).map(([kind, keys]) => [
      `/b/calibration/left/left-${kind}-2026-02-10.yaml`,
      `kind: ${kind}\nchannel: 1\ndate: 2026-02-10\n${keys}`,
    ]);
    const link = 'name: n\ninterface: {kind: audio, play: p, capture: p, rate: 96 kHz, clock: 50 ppm}\n';
    const setup = readBench(
      link + blocks.find((block) => block.startsWith('channels:\n  - output: {record'))!,
      '/b/left.yaml',
      memoryDisk(Object.fromEntries(files)),
      '2026-03-01',
    );
    expect(setup.channels[0]!.records.map(({ id }) => id)).toEqual(
      ['output', 'input', 'attenuator', 'load', 'shunt', 'response'].map((kind) => `left-${kind}-2026-02-10`),
    );
    expect(setup.channels[0]!.current!.stated).toHaveLength(1);
    expect(setup.interface).toMatchObject({ captureChannels: 3 });
  });
});
