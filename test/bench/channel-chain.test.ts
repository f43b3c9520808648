import { describe, expect, it } from 'vitest';
import { type Parts, smallBench, smallComplaint } from './memory-disk.js';

const chainOf = (parts: Parts, files: Record<string, string> = {}) => smallBench(parts, files).channels[0]!;
const at = (name: string, ...lines: string[]) => ({ [`/b/calibration/${name}.yaml`]: lines.join('\n') });

const RESPONSE = at(
  'band',
  'kind: response',
  'channel: 1',
  'points:',
  '  - {frequency: 20 Hz, level: -0.02 dB, uncertainty: 0.005 dB}',
  '  - {frequency: 1 kHz, level: 0 dB, uncertainty: 0 dB}',
  '  - {frequency: 20 kHz, level: -0.1 dB, uncertainty: 0.01 dB}',
);
const SHUNT = at('sense', 'kind: shunt', 'channel: 1', 'value: 0.1003 ohm', 'uncertainty: 0.05 %');
const HOT = at(
  'hot',
  'kind: load',
  'channel: 1',
  'nominal: 8 ohm',
  'value: 8.02 ohm',
  'temperature: 24 degC',
  'tempco: 50 ppm/K',
  'heating: 0.5 K/W',
  'warming_limits: 20 %',
  'inductance: 3 uH',
  'uncertainty: 0.1 %',
);

describe('what stands behind a channel', () => {
  it('names part, channel and where it is written', () => {
    const chain = chainOf(
      {
        output: '{full_scale: 2 V rms, uncertainty: 0.4 %}',
        input: '{record: in-1}',
        attenuator: '{ratio: 20, uncertainty: 0.1 %}',
        load: '{nominal: 8 ohm, uncertainty: 0.3 %}',
      },
      at('in-1', 'kind: input', 'channel: 1', 'value: 2 V peak', 'uncertainty: 0.2 %', 'linearity: 0.01 %'),
    );
    const sources = (stated: readonly { readonly source: string }[] | null) =>
      stated?.map(({ source }) => source);
    expect(sources(chain.outputStated)).toEqual(['output 1: calibration (bench file)']);
    expect(sources(chain.inputStated)).toEqual([
      'input 1: calibration (record in-1)',
      'input 1: linearity (record in-1)',
    ]);
    expect(sources(chain.attenuatorStated)).toEqual(['attenuator 1: calibration (bench file)']);
    expect(sources(chain.loads[0]!.stated)).toEqual(['load 1 (8 ohm): calibration (bench file)']);
    expect(chain.outputStated![0]!.standard_percent).toBe(0.4);
  });

  it('is nothing where neither bench file nor record states anything', () => {
    const chain = chainOf(
      { input: '{record: in-1}' },
      at('in-1', 'kind: input', 'channel: 1', 'value: 2 V rms'),
    );
    expect([chain.outputStated, chain.inputStated, chain.attenuatorStated, chain.loads[0]!.stated]).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });

  it('may be stated in the bench file for a record that is silent', () => {
    const silent = at('in-1', 'kind: input', 'channel: 1', 'value: 2 V rms');
    const chain = chainOf({ input: '{record: in-1, uncertainty: 0.3 %}' }, silent);
    expect(chain.inputStated).toMatchObject([{ standard_percent: 0.3 }]);
  });

  it('is refused where bench file and record both state it', () => {
    const stated = at('in-1', 'kind: input', 'channel: 1', 'value: 2 V rms', 'uncertainty: 0.1 %');
    expect(smallComplaint({ input: '{record: in-1, uncertainty: 0.3 %}' }, stated)).toContain(
      "channels[1].input.uncertainty: both this file and the record 'in-1' give 'uncertainty'; leave it out here",
    );
  });
});

describe('a load', () => {
  it('takes from its record what the bench file leaves open', () => {
    const load = chainOf({ load: '{nominal: 8 ohm, record: hot, rating: 100 W}' }, HOT).loads[0];
    expect(load).toMatchObject({
      measured_ohm: 8.02,
      measuredAt_C: 24,
      tempco_per_K: 50e-6,
      heating_K_per_W: 0.5,
      warmingLimits: 0.2,
      inductance_H: 3e-6,
      rating_W: 100,
    });
  });

  it('may say the same in the bench file', () => {
    const keys =
      'temperature: 24 degC, tempco: 50 ppm/K, heating: 0.5 K/W, warming_limits: 0.2, inductance: 3 uH';
    expect(chainOf({ load: `{nominal: 8 ohm, ${keys}}` }).loads[0]).toMatchObject({
      measuredAt_C: 24,
      tempco_per_K: 50e-6,
      warmingLimits: 0.2,
    });
    expect(chainOf({}).loads[0]).toMatchObject({ measuredAt_C: null, tempco_per_K: 0, warmingLimits: 0.5 });
  });

  it.each([
    ['temperature', '20 degC'],
    ['tempco', '20 ppm/K'],
    ['heating', '1 K/W'],
    ['warming_limits', '0.4'],
    ['inductance', '1 uH'],
    ['uncertainty', '1 %'],
  ])('is refused when both give %s', (key, value) => {
    expect(smallComplaint({ load: `{nominal: 8 ohm, record: hot, ${key}: ${value}}` }, HOT)).toContain(
      `channels[1].load.${key}: both this file and the record 'hot' give '${key}'; leave it out here`,
    );
  });
});

describe('a current shunt', () => {
  it('has an input and a shunt of its own', () => {
    const more = ['current: {channel: 3, full_scale: 2 V rms, shunt: 0.1 ohm, uncertainty: 0.2 %}'];
    expect(chainOf({ more }).current).toEqual({
      input: 3,
      fullScale_Vpk: expect.closeTo(2 * Math.SQRT2, 12),
      shunt_ohm: 0.1,
      stated: [
        expect.objectContaining({
          source: 'current shunt 1: calibration (bench file)',
          standard_percent: 0.2,
        }),
      ],
    });
  });

  it('adds what the record states of the shunt to what is stated of its input', () => {
    const tap = (more: string) =>
      chainOf({ more: [`current: {channel: 3, full_scale: 2 V rms, ${more}}`] }, SHUNT);
    const chain = tap('record: sense, uncertainty: 0.2 %');
    expect(chain.current).toMatchObject({
      shunt_ohm: 0.1003,
      stated: [
        { standard_percent: 0.2 },
        { source: 'shunt 1: calibration (record sense)', standard_percent: 0.05 },
      ],
    });
    expect(chain.records.map(({ id }) => id)).toEqual(['sense']);
    // The shunt alone does not make a current known: nobody spoke for the input.
    expect(tap('record: sense').current!.stated).toBeNull();
  });

  it('needs a shunt, given once, and an input that nothing else uses', () => {
    const complaint = (keys: string) =>
      smallComplaint({ more: [`current: {full_scale: 2 V rms, ${keys}}`] }, SHUNT);
    expect(complaint('channel: 3')).toContain(
      "channels[1].current: 'shunt' is missing; give it, or name a calib",
    );
    expect(complaint('channel: 3, shunt: 1 ohm, record: sense')).toContain(
      "both 'shunt' and 'record' give the value",
    );
    expect(complaint('channel: 1, shunt: 1 ohm')).toContain(
      'interface input 1 is used by channel 1 and by the current shunt of channel 1; give each channel its own',
    );
  });
});

describe('the frequency response of a channel', () => {
  it('comes from a record, which is among the records of the channel', () => {
    const chain = chainOf({ more: ['response: {record: band}'] }, RESPONSE);
    expect(chain.response!.points.map(({ level_dB }) => level_dB)).toEqual([-0.02, 0, -0.1]);
    expect(chain.records).toMatchObject([{ id: 'band', kind: 'response' }]);
    expect(chain.flatness_dB).toBeNull();
  });

  it('is flat within limits, or not known', () => {
    expect(chainOf({ more: ['flatness: 0.1 dB'] }).flatness_dB).toBe(0.1);
    expect(chainOf({ more: ['flatness: 0 dB'] }).flatness_dB).toBe(0);
    expect(chainOf({})).toMatchObject({ flatness_dB: null, response: null, current: null });
  });

  it('is given once', () => {
    expect(smallComplaint({ more: ['response: {record: band}', 'flatness: 0.1 dB'] }, RESPONSE)).toContain(
      "channels[1].flatness: both 'response' and 'flatness' say how level the channel is",
    );
  });
});

describe('a load that is off its nominal value', () => {
  const record = (value: string) =>
    at('off', 'kind: load', 'channel: 1', 'nominal: 8 ohm', `value: ${value}`);
  const used = (more: string) => ({ load: `{nominal: 8 ohm, record: off${more}}` });

  it('is taken from a record only where the bench file confirms it', () => {
    expect(smallComplaint(used(''), record('6.9 ohm'))).toContain("confirm that with 'off_nominal: yes'");
    expect(chainOf(used(', off_nominal: yes'), record('6.9 ohm')).loads[0]).toMatchObject({
      measured_ohm: 6.9,
    });
    expect(chainOf(used(''), record('7.3 ohm')).loads[0]).toMatchObject({ measured_ohm: 7.3 });
  });

  it('is refused in a record that holds the ohms of another load', () =>
    expect(smallComplaint(used(', off_nominal: yes'), record('4.02 ohm'))).toContain(
      'the 8 ohm load measures 4.02 ohm, 50 % less: these are the ohms of another load',
    ));
});

describe('a record where a value belongs', () => {
  it.each<[Parts, string]>([
    [{ load: '{nominal: 8 ohm, measured: {record: hot}}' }, "write 'record: NAME' in place of 'measured'"],
    [{ output: '{full_scale: {record: o}}' }, "write 'record: NAME' in place of 'full_scale'"],
    [{ attenuator: '{ratio: {record: o}}' }, "write 'record: NAME' in place of 'ratio'"],
    [
      { more: ['current: {channel: 2, full_scale: 2 V rms, shunt: {record: o}}'] },
      "write 'record: NAME' in place of 'shunt'",
    ],
    [
      { load: '{nominal: 8 ohm, measured: 8 ohm, record: hot}' },
      "both 'measured' and 'record' give the value; a record replaces 'measured': leave one out",
    ],
  ])('is told where it goes: %j', (parts, message) => expect(smallComplaint(parts, HOT)).toContain(message));
});

describe('the top of a bench file', () => {
  it('takes the floor from a record, as a figure or a table, and keeps the record', () => {
    const top = ['floor: {record: own}'];
    const figure = smallBench({ top }, at('own', 'kind: floor', 'value: 0.0003 %'));
    expect(figure.floor).toEqual({ kind: 'stated', thdn_percent: 0.0003 });
    expect(figure.floorRecord).toMatchObject({ id: 'own', kind: 'floor' });
    const points = 'points: [{frequency: 1 kHz, level: -10 dB, thdn: 0.0004 %}]';
    expect(smallBench({ top }, at('own', 'kind: floor', points)).floor).toMatchObject({ kind: 'measured' });
    expect(smallBench({ top: ['floor: 0.001 %'] })).toMatchObject({
      floor: { thdn_percent: 0.001 },
      floorRecord: null,
    });
  });

  it('states the limits of the clock', () => {
    expect(smallBench({ link: ', clock: 50 ppm' }).clockLimits_ppm).toBe(50);
    expect(smallBench({ link: ', clock: 0.01 %' }).clockLimits_ppm).toBe(100);
    expect(smallBench({}).clockLimits_ppm).toBeNull();
    expect(smallComplaint({ link: ', clock: 50' })).toContain(
      'interface.clock: expected a share in parts per million such as 50 ppm or 0.005 %, got the bare number 50',
    );
  });
});
