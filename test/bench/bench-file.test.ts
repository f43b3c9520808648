import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { DocumentError } from '../../src/schema/document-error.js';
import { memoryDisk } from './memory-disk.js';

const folder = new URL('../../benches/', import.meta.url);

const TWIN = { '/b/twins/t.yaml': 'twin: t' };
const PARTS = [
  '    output: {full_scale: 2 V rms}',
  '    input: {full_scale: 2 V peak}',
  '    attenuator: {ratio: 20, rating: 100 V peak}',
  '    load: {nominal: 8 ohm, rating: 200 W}',
];
const simulated = ['name: n', 'interface: {kind: simulated, twin: t, rate: 48 kHz}'];
const audio = ['name: n', 'interface: {kind: audio, play: p, capture: c, rate: 96 kHz}'];
const all = (count: number, parts = PARTS) => ['channels:', `  count: ${count}`, '  all:', ...parts];

const read = (lines: readonly string[], files: Record<string, string> = TWIN) =>
  readBench(lines.join('\n'), '/b/bench.yaml', memoryDisk(files));

function complaint(lines: readonly string[], files: Record<string, string> = TWIN): string {
  try {
    read(lines, files);
  } catch (error) {
    if (error instanceof DocumentError) return error.message;
    throw error;
  }
  throw new Error('the bench was accepted');
}

describe('readBench', () => {
  it('gives seven equal channels from one', () => {
    const setup = read([...simulated, ...all(7)]);
    expect(setup.channels.map(({ channel, output, input }) => [channel, output, input])).toEqual(
      [1, 2, 3, 4, 5, 6, 7].map((n) => [n, n, n]),
    );
    expect(setup.channels[6]!.outputFullScale_Vpk).toBeCloseTo(2 * Math.SQRT2, 12);
    expect(setup.channels[6]!.loads[0]).toMatchObject({ nominal_ohm: 8, measured_ohm: 8, rating_W: 200 });
    expect(setup).toMatchObject({
      kind: 'simulated',
      interface: { kind: 'simulated', twinPath: '/b/twins/t.yaml', seed: 1 },
      rate_Hz: 48_000,
      assumedGain_dB: 40,
      dcLimit_V: 2,
      floor: null,
    });
  });

  it('overrides parts of single channels', () => {
    const setup = read([
      ...simulated,
      ...all(2),
      '  overrides:',
      '    - {channel: 2, load: [{nominal: 8 ohm, measured: 8.1 ohm, rating: 50 W}, {nominal: 4 ohm, rating: 60 W}]}',
    ]);
    expect(setup.channels[0]!.loads).toHaveLength(1);
    expect(setup.channels[1]!.loads.map((load) => load.rating_W)).toEqual([50, 60]);
    expect(setup.channels[1]!.attenuator_ratio).toBe(20);
  });

  it('needs no ratings where nothing can burn', () => {
    const parts = [...PARTS.slice(0, 2), '    attenuator: {ratio: 20}', '    load: {nominal: 8 ohm}'];
    expect(read([...simulated, ...all(1, parts)]).channels[0]!.loads[0]!.rating_W).toBe(1000);
  });

  it('takes values and uncertainties from calibration records and keeps their text', () => {
    const text = 'kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: 8.02 ohm\nuncertainty: 0.1 %';
    const parts = [...PARTS.slice(0, 3), '    load: {nominal: 8 ohm, rating: 200 W, record: hot}'];
    const setup = read([...simulated, ...all(1, parts)], { ...TWIN, '/b/calibration/hot.yaml': text });
    expect(setup.channels[0]!.loads[0]).toMatchObject({
      measured_ohm: 8.02,
      stated: [{ standard_percent: 0.1 }],
    });
    expect(setup.channels[0]!.records).toMatchObject([{ id: 'hot', kind: 'load', text }]);
  });

  it('opens as many interface channels as are used', () => {
    const parts = ['    output: {channel: 5, full_scale: 2 V rms}', ...PARTS.slice(1)];
    expect(read([...audio, ...all(1, parts)]).interface).toEqual({
      kind: 'audio',
      playDevice: 'p',
      captureDevice: 'c',
      bits: 24,
      playChannels: 5,
      captureChannels: 1,
    });
  });

  it('opens the inputs of current shunts too', () => {
    const tap = '    current: {channel: 7, full_scale: 2 V rms, shunt: 0.1 ohm}';
    expect(read([...audio, ...all(1, [...PARTS, tap])]).interface).toMatchObject({ captureChannels: 7 });
    const few = [audio[0]!, audio[1]!.replace('}', ', capture_channels: 6}'), ...all(1, [...PARTS, tap])];
    expect(complaint(few)).toContain(
      'interface.capture_channels: 6 is too few; input 7 is used by a channel',
    );
  });

  it('overrides responses, flatness and current shunts too', () => {
    const setup = read([
      ...simulated,
      ...all(2, [...PARTS, '    flatness: 0.1 dB']),
      '  overrides:',
      '    - {channel: 2, flatness: 0 dB, current: {channel: 3, full_scale: 1 V peak, shunt: 50 mohm}}',
    ]);
    expect(setup.channels.map(({ flatness_dB }) => flatness_dB)).toEqual([0.1, 0]);
    expect(setup.channels.map(({ current }) => current?.shunt_ohm)).toEqual([undefined, 0.05]);
  });

  it('does not take itself for a twin of the same name', () => {
    const twin = '/b/twins/bench.yaml';
    const lines = [simulated[0]!, simulated[1]!.replace('twin: t', 'twin: bench'), ...all(1)];
    const setup = read(lines, { '/b/bench.yaml': lines.join('\n'), [twin]: '' });
    expect(setup.interface).toMatchObject({ twinPath: twin });
  });

  it('knows whether a program drives hardware', () => {
    const command = (word: string) => {
      const link = `interface: {kind: command, rate: 48 kHz, argv: [p, "{stimulus}", "-o{response}"]${word}}`;
      return read(['name: n', link, ...all(1)]);
    };
    expect(command('')).toMatchObject({
      interface: { kind: 'command', argv: ['p', '{stimulus}', '-o{response}'], timeout_s: 60, block_s: null },
      energises: false,
      clock: 'virtual',
    });
    expect(command(', hardware: yes, timeout: 5 s')).toMatchObject({
      interface: { timeout_s: 5 },
      energises: true,
      clock: 'world',
    });
  });

  it('accepts every bench that ships', () => {
    const names = readdirSync(folder).filter((name) => name.endsWith('.yaml'));
    expect(names.length).toBeGreaterThanOrEqual(7);
    for (const name of names) {
      const path = fileURLToPath(new URL(name, folder));
      const setup = readBench(readFileSync(path), path);
      expect(setup.channels.length).toBeGreaterThan(0);
    }
  });
});

describe('a bench file that is wrong', () => {
  const load = (keys: string) => [...PARTS.slice(0, 3), `    load: {nominal: 8 ohm, ${keys}}`];
  it.each<[string, readonly string[], string]>([
    [
      'a load without rating',
      [...audio, ...all(1, load(''))],
      "bench.yaml:9:11: channels.all.load: 'rating' is missing; without it, nothing limits the power in the load",
    ],
    [
      'an attenuator without rating',
      [...audio, ...all(1, [...PARTS.slice(0, 2), '    attenuator: {ratio: 20}', PARTS[3]!])],
      "channels.all.attenuator: 'rating' is missing; without it, nothing limits the voltage at the attenuator",
    ],
    [
      'negative ohms',
      [...simulated, ...all(1, load('measured: -8 ohm'))],
      'expected a resistance of at least 10 mohm',
    ],
    ['NaN', [...simulated, ...all(1, load('measured: NaN ohm'))], "got 'NaN ohm'"],
    [
      'a load far from its label',
      [...simulated, ...all(1, load('measured: 80 ohm'))],
      'the 8 ohm load measures 80 ohm, 900 % more: these are the ohms of another load; connect and name the right load',
    ],
    [
      'a load of 4 ohm in the place of one of 8 ohm, confirmed or not',
      [...simulated, ...all(1, load('measured: 4 ohm, off_nominal: yes'))],
      'the 8 ohm load measures 4 ohm, 50 % less: these are the ohms of another load',
    ],
    [
      'a load that is off its nominal value, and nobody has confirmed it',
      [...simulated, ...all(1, load('measured: 6.9 ohm'))],
      "the 8 ohm load measures 6.9 ohm, 14 % less; check which load is connected; if it is the one that is meant, confirm that with 'off_nominal: yes' beside it",
    ],
    [
      'one that is confirmed not to be',
      [...simulated, ...all(1, load('measured: 6.9 ohm, off_nominal: no'))],
      'the 8 ohm load measures 6.9 ohm',
    ],
    ...(['output', 'input'] as const).flatMap((side): [string, readonly string[], string][] =>
      [
        [
          '3000 V rms',
          'no converter has so much at full scale; expected at most 1000 V peak: was another prefix meant?',
        ],
        [
          '3 uV rms',
          'no converter has so little at full scale; expected at least 10 mV peak: was another prefix meant?',
        ],
      ].map(([volts, says]) => [
        `${volts} at full scale of an ${side}`,
        [
          ...simulated,
          ...all(
            1,
            PARTS.map((part) => (part.includes(`${side}:`) ? `    ${side}: {full_scale: ${volts}}` : part)),
          ),
        ],
        `channels.all.${side}.full_scale: ${says}`,
      ]),
    ),
    [
      'an attenuator that stands anything',
      [
        ...simulated,
        ...all(1, [...PARTS.slice(0, 2), '    attenuator: {ratio: 20, rating: 1000000 V peak}', PARTS[3]!]),
      ],
      'no attenuator has such a rating; expected one from 0.1 V to 100000 V peak: was another prefix meant?',
    ],
    [
      'more channels than there can be',
      [
        ...simulated,
        'channels:',
        ...Array.from({ length: 65 }, () =>
          PARTS.map((part, i) => part.replace(/^ {4}/, i ? '    ' : '  - ')),
        ).flat(),
      ],
      'channels: a list of 65; it needs at most 64.',
    ],
    [
      'zero full scale',
      [...simulated, ...all(1, ['    output: {full_scale: 0 V rms}', ...PARTS.slice(1)])],
      'It must be above zero',
    ],
    [
      'full scale without rms or peak',
      [...simulated, ...all(1, ['    output: {full_scale: 2 V}', ...PARTS.slice(1)])],
      "Say which volts: 'rms' or 'peak'",
    ],
    [
      'an attenuator that amplifies',
      [...simulated, ...all(1, [...PARTS.slice(0, 2), '    attenuator: {ratio: 1/20}', PARTS[3]!])],
      'expected a plain ratio of at least 1',
    ],
    [
      'the same interface channel twice',
      [...simulated, ...all(2, ['    output: {channel: 3, full_scale: 2 V rms}', ...PARTS.slice(1)])],
      'interface output 3 is used by channel 1 and by channel 2',
    ],
    [
      'an override of a channel that is not there',
      [...simulated, ...all(2), '  overrides: [{channel: 3}]'],
      'there is no channel 3 to override; count says 2',
    ],
    ['no channels', [...simulated, 'channels: []'], 'bench.yaml:3:11: channels: the list is empty'],
    [
      'a twin that is not there',
      [...simulated.map((line) => line.replace('twin: t', 'twin: nobody')), ...all(1)],
      "interface.twin: there is no twin 'nobody'; looked for /b/twins/nobody.yaml, /b/nobody.yaml, ",
    ],
    [
      'an unknown interface',
      ['name: n', 'interface: {kind: telepathy, rate: 48 kHz}', ...all(1)],
      "expected one of 'simulated', 'audio', 'command'",
    ],
    [
      'a program without files',
      ['name: n', 'interface: {kind: command, rate: 48 kHz, argv: [p]}', ...all(1)],
      'put {stimulus} and {response} among its arguments',
    ],
    [
      'a rate that is no whole number',
      [simulated[0]!, 'interface: {kind: simulated, twin: t, rate: 44100.5 Hz}', ...all(1)],
      'a sample rate is a whole number of hertz',
    ],
    [
      'too few channels opened',
      [audio[0]!, audio[1]!.replace('}', ', play_channels: 1}'), ...all(2)],
      'interface.play_channels: 1 is too few; output 2 is used',
    ],
    [
      'a record that is not there',
      [...simulated, ...all(1, load('record: gone'))],
      "there is no calibration record 'gone'; looked for gone.yaml and gone-YEAR-MONTH-DAY.yaml in /b/calibration/bench, /b/calibration, /calibration/bench, /calibration",
    ],
    [
      'a record named as a path',
      [...simulated, ...all(1, load('record: ../../etc/passwd'))],
      'not a name to refer to',
    ],
    [
      'a value given twice',
      [...simulated, ...all(1, ['    output: {full_scale: 2 V rms, record: o}', ...PARTS.slice(1)])],
      "both 'full_scale' and 'record' give the value",
    ],
    [
      'a value not given',
      [...simulated, ...all(1, ['    output: {channel: 1}', ...PARTS.slice(1)])],
      "'full_scale' is missing; give it, or name a calibration record",
    ],
    [
      '24.5 bits',
      [audio[0]!, audio[1]!.replace('}', ', bits: 16}'), ...all(1)],
      "expected one of '24', '32', got '16'",
    ],
  ])('%s is refused', (_, lines, message) => {
    expect(complaint(lines)).toContain(message);
  });

  it('names a record of another channel, kind or load as such, and passes on what is wrong inside it', () => {
    const named = [...simulated, ...all(1, load('record: r'))];
    const record = (text: string) => complaint(named, { ...TWIN, '/b/calibration/r.yaml': text });
    expect(record('kind: load\nchannel: 2\nnominal: 8 ohm\nvalue: 8 ohm')).toContain(
      'it is of channel 2, not of channel 1',
    );
    expect(record('kind: load\nchannel: 1\nnominal: 4 ohm\nvalue: 4 ohm')).toContain(
      'it is of the 4 ohm load, not of the 8 ohm load',
    );
    expect(record('kind: input\nchannel: 1\nvalue: 2 V rms')).toContain('it is of an input, not of a load');
    expect(record('kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: 8')).toContain(
      '/b/calibration/r.yaml:4:8: value: expected a resistance',
    );
  });

  it('lists every fault at once', () => {
    const lines = [
      'nam: n',
      'interface: {kind: audio, play: p, capture: c, rate: 1 Hz}',
      'dc_limit: 1',
      ...all(2, [
        '    output: {channel: 1, full_scale: 2 V rms}',
        ...PARTS.slice(1, 3),
        '    load: {nominal: 8 ohm}',
      ]),
    ];
    const found = complaint(lines);
    for (const part of [
      "unknown key 'nam'",
      'name: is missing',
      'interface.rate: expected a frequency of at least 8 kHz',
      'dc_limit: expected a voltage',
      "'rating' is missing",
      'interface output 1 is used by channel 1',
    ])
      expect(found).toContain(part);
  });
});
