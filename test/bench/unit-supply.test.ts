import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { memoryDisk } from './memory-disk.js';

const bench = (keys: string) => `name: b
interface: {kind: command, argv: [x, '{stimulus}', '{response}'], rate: 48 kHz}
unit_supply: ${keys}
channels:
  - output: {full_scale: 1 V peak}
    input: {full_scale: 1 V peak}
    attenuator: {ratio: 50, rating: 100 V peak}
    load: {nominal: 8 ohm, rating: 200 W}
`;
const read = (keys: string) => readBench(bench(keys), 'bench.yaml', memoryDisk({})).unitSupply;

describe('unit_supply of a bench file', () => {
  it.each([
    ['{outputs: single-ended, rails: 56 V}', { kind: 'split', outputs: 'single-ended', rail_V: 56 }],
    ['{outputs: bridged, rails: 56 V}', { kind: 'split', outputs: 'bridged', rail_V: 56 }],
    ['{outputs: bridged, single: 14.4 V}', { kind: 'single', outputs: 'bridged', supply_V: 14.4 }],
    ['{outputs: single-ended, single: 60 V}', { kind: 'single', outputs: 'single-ended', supply_V: 60 }],
    ['{outputs: transformer, fault: 450 V}', { kind: 'fault', outputs: 'transformer', fault_V: 450 }],
  ])('%s', (keys, supply) => {
    expect(read(keys)).toEqual(supply);
  });

  it.each([
    ['{outputs: bridged}', /needs exactly one voltage.*give 'rails'/],
    ['{outputs: bridged, rails: 56 V, single: 112 V}', /needs exactly one voltage/],
    ['{outputs: single-ended, fault: 60 V}', /needs exactly one voltage of its own kind/],
    ['{outputs: transformer, rails: 400 V}', /give 'fault'/],
    ['{outputs: single-ended, rails: 56}', /give the unit/],
    ['{outputs: other, rails: 56 V}', /outputs/],
  ])('refuses %s', (keys, says) => {
    expect(() => read(keys)).toThrow(says);
  });
});

describe('a practice bench', () => {
  const of = (hardware: string) =>
    readBench(
      bench('{outputs: bridged, rails: 30 V}').replace(
        'rate: 48 kHz}',
        `rate: 48 kHz, hardware: ${hardware}}`,
      ),
      'b.yaml',
      memoryDisk({}),
    );

  it.each([
    ['no', false, false],
    ['yes', true, false],
    ['practice', true, true],
  ])('hardware: %s', (hardware, energises, practice) => {
    expect(of(hardware)).toMatchObject({ energises, practice });
  });
});
