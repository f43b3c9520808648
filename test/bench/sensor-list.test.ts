import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { DocumentError } from '../../src/schema/document-error.js';
import { memoryDisk, smallBench, smallComplaint } from './memory-disk.js';

const probes = (...written: readonly string[]) => ({
  top: ['probes:', ...written.map((keys) => `  - ${keys}`)],
});
const read = (...written: readonly string[]) => smallBench(probes(...written)).sensors!;
const complaint = (...written: readonly string[]) => smallComplaint(probes(...written));

describe('the probes of a bench file', () => {
  it('are none when none is named', () => {
    expect(smallBench({}).sensors).toEqual([]);
  });

  it('are read with all their keys', () => {
    const keys =
      '{name: fan, argv: [read-fan, --slow], unit: rpm, every: 1 min, timeout: 20 s, high: 3000, low: 500 rpm, needed: no}';
    expect(read(keys)).toEqual([
      {
        name: 'fan',
        unit: 'rpm',
        every_s: 60,
        timeout_s: 20,
        high: 3000,
        low: 500,
        needed: false,
        source: { kind: 'program', argv: ['read-fan', '--slow'] },
      },
    ]);
  });

  it('are sampled every 10 s, have 5 s to answer, and are needed, unless the file says otherwise', () => {
    const [slow, quick] = read('{name: a, argv: [x], unit: V}', '{name: b, argv: [x], unit: V, every: 2 s}');
    expect(slow).toMatchObject({ every_s: 10, timeout_s: 5, high: null, low: null, needed: true });
    expect(quick).toMatchObject({ every_s: 2, timeout_s: 2 });
  });

  it('of a simulated bench may ask the twin, which answers in units of its own', () => {
    expect(
      read(
        '{name: a, simulated: heatsink}',
        '{name: b, simulated: load 1, high: 90 degC}',
        '{name: c, simulated: mains}',
      ),
    ).toMatchObject([
      { unit: 'degC', source: { kind: 'heatsink' } },
      { unit: 'degC', high: 90, source: { kind: 'load', channel: 1 } },
      { unit: 'V', source: { kind: 'mains' } },
    ]);
  });

  it.each([
    ['{name: a, unit: V}', /neither 'argv' nor 'simulated' is given/],
    ['{name: a, argv: [x], simulated: mains, unit: V}', /both 'argv' and 'simulated' are given/],
    ['{name: a, argv: [x]}', /'unit' is missing/],
    ['{name: a, argv: [], unit: V}', /list is empty/],
    ['{name: a, simulated: load 2}', /a twin has no 'load 2'.*channels here: 1/],
    ['{name: a, simulated: fan}', /a twin has no 'fan'.*heatsink, mains/],
    ['{name: a, simulated: mains 2}', /a twin has no 'mains 2'/],
    ['{name: a, simulated: mains, unit: kV}', /the twin answers in V/],
    ['{name: a, argv: [x], unit: V, every: 2 s, timeout: 3 s}', /a timeout of 3 s is longer than the 2 s/],
    ['{name: a, argv: [x], unit: V, every: 10}', /give the unit/],
    ['{name: a, argv: [x], unit: V, high: 3, low: 3}', /low \(3\) is not below high \(3\)/],
    ['{name: a, argv: [x], unit: V, high: 90 degC}', /'90 degC' is not a number of V.*as in 85 V/],
    ['{name: a, argv: [x], unit: V, warm: 3}', /unknown key 'warm'/],
  ])('%s is refused with line and column', (keys, said) => {
    const text = complaint(keys);
    expect(text.replaceAll('\n', ' ')).toMatch(said);
    expect(text).toMatch(/4:\d+/);
  });

  it('have names of their own', () => {
    expect(complaint('{name: a, simulated: mains}', '{name: a, simulated: heatsink}')).toContain(
      "a second sensor 'a'",
    );
  });

  it('of any other bench cannot ask a twin', () => {
    const text = `name: n
interface: {kind: audio, play: p, capture: c, rate: 96 kHz}
probes: [{name: a, simulated: heatsink}]
channels:
  - output: {full_scale: 2 V rms}
    input: {full_scale: 2 V peak}
    attenuator: {ratio: 20, rating: 100 V peak}
    load: {nominal: 8 ohm, rating: 200 W}
`;
    const reading = () => readBench(text, '/b/bench.yaml', memoryDisk({}));
    expect(reading).toThrow(DocumentError);
    expect(reading).toThrow(/this bench is not simulated/);
  });
});

describe('the limits of a run in a bench file', () => {
  it('are read in their units, and left to the plan when not given', () => {
    const given = smallBench({ top: ['energy_limit: 500 kJ', 'time_limit: 9 h', 'dropout_limit: 3'] });
    expect(given).toMatchObject({ energyLimit_J: 500_000, timeLimit_s: 32_400, dropoutLimit: 3 });
    expect(smallBench({})).toMatchObject({ energyLimit_J: null, timeLimit_s: null, dropoutLimit: 10 });
  });

  it.each(['energy_limit: 500 W', 'energy_limit: 0 J', 'time_limit: 8 d', 'dropout_limit: -1'])(
    '%s is refused',
    (line) => {
      expect(smallComplaint({ top: [line] })).toContain(line.split(':')[0]!);
    },
  );
});
