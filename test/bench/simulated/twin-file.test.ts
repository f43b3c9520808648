import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { channelTruth, channelTwin } from '../../../src/bench/simulated/twin.js';
import { readTwin } from '../../../src/bench/simulated/twin-file.js';

const folder = new URL('../../../benches/twins/', import.meta.url);
const LEAST = 'twin: Invented\ngain: 20 dB\nsupply: { regulated: 40 V }\n';
const read = (text: string) => readTwin(text, 'unit.yaml');

/** The message that a text is refused with. */
function refusal(text: string): string {
  try {
    read(text);
  } catch (error) {
    return (error as Error).message;
  }
  return '';
}

describe('a twin file', () => {
  it('of three keys is an ideal amplifier that clips at its rails', () => {
    const twin = read(LEAST);
    expect(twin).toMatchObject({
      channels: null,
      channel: { gain: 10, noise_V: 0, coupling_Hz: 0, curvature: null, crossover: null },
      supply: { kind: 'regulated', positive_V: 40, negative_V: 40 },
      dcFault: null,
      converters: { bits: null, latency_frames: 0 },
      truth: { load: 0 },
    });
    expect(twin.channel.output).toMatchObject({ kind: 'linear', drop_V: 0, softness: 0, filter: null });
    expect(twin.protection.current_A).toBe(Number.POSITIVE_INFINITY);
  });

  it('gives volts, seconds and shares in SI units', () => {
    const twin = read(
      `${LEAST}noise: 3 uV\noutput: { slew: 20 V/us, softness: 2 % }\nheat: { gain_drift: -30 ppm/K }\ntruth: { load: 1 % }\n`,
    );
    expect(twin.channel.noise_V).toBeCloseTo(3e-6, 15);
    expect(twin.channel.output.slew_V_per_s).toBe(20e6);
    expect(twin.channel.output.softness).toBe(0.02);
    expect(twin.heat.gainDrift_per_K).toBeCloseTo(-30e-6, 12);
    expect(twin.truth.load).toBe(0.01);
  });

  it('overrides one channel key by key, inside output too', () => {
    const twin = read(
      `${LEAST}output: { drop: 2 V, offset: 5 mV }\noverrides: [{ channel: 2, gain: 26 dB, output: { offset: 9 mV } }]\n`,
    );
    expect(channelTwin(twin, 1).output).toMatchObject({ drop_V: 2, offset_V: 0.005 });
    expect(channelTwin(twin, 2).output).toMatchObject({ drop_V: 2, offset_V: 0.009 });
    expect(channelTwin(twin, 2).gain).toBeCloseTo(10 ** 1.3, 9);
  });

  it('says for all channels and for single ones how far the bench is off', () => {
    const twin = read(
      `${LEAST}truth: { attenuator: 0.5 %, tempco: 10 %, input_corner: 90 kHz, channels: [{ channel: 3, attenuator: -1 %, current: 0.3 % }] }\n`,
    );
    expect(channelTruth(twin, 1)).toMatchObject({ attenuator: 0.005, current: 0, inputCorner_Hz: 90_000 });
    expect(channelTruth(twin, 3)).toMatchObject({ attenuator: -0.01, current: 0.003, tempco: 0.1 });
    expect(channelTruth(twin, 3)).toMatchObject({ inputCorner_Hz: 90_000, outputCorner_Hz: Infinity });
  });

  it('ships in copies, and twelve with known faults, that all can be read and say that they are invented', () => {
    const files = readdirSync(folder).filter((file) => file.endsWith('.yaml'));
    expect(files.filter((file) => file.startsWith('cause-'))).toHaveLength(12);
    expect(files.filter((file) => !file.startsWith('cause-'))).toEqual([
      'ideal-40.yaml',
      'installed-eight.yaml',
      'repaired-crossover.yaml',
      'seven-shared.yaml',
      'stiff-pair.yaml',
      'switching-treble.yaml',
    ]);
    for (const file of files) {
      const text = readFileSync(new URL(file, folder), 'utf8');
      expect(text.split('\n')[0]).toMatch(/^# An invented/);
      expect(read(text).name).not.toBe('');
    }
  });

  it('has every key in the reference, with a unit and a meaning', () => {
    const reference = readFileSync(new URL('README.md', folder), 'utf8');
    const schema = readFileSync(
      new URL('../../../src/bench/simulated/twin-schema.ts', import.meta.url),
      'utf8',
    );
    const keys = [...schema.matchAll(/^ {2}([a-z_]+): (?:quantity|whole|z\.enum|label|prose)/gm)].map(
      ([, key]) => key,
    );
    expect(keys.length).toBeGreaterThan(40);
    for (const key of keys) expect(reference, key).toContain(`\`${key}\``);
  });
});

describe('a twin that cannot be', () => {
  it.each([
    ['an unknown key', `${LEAST}rainbow: 3 V\n`, /unit\.yaml:4:1.*rainbow/s],
    ['a missing unit', `${LEAST}noise: 3\n`, /noise.*unit/s],
    ['a wrong unit', `${LEAST}noise: 3 ohm\n`, /noise.*voltage/s],
    ['no supply', 'twin: X\ngain: 20 dB\n', /supply/],
    [
      'a supply of neither kind',
      'twin: X\ngain: 20 dB\nsupply: {}\n',
      /give regulated or unregulated: neither is given/,
    ],
    [
      'two supplies',
      'twin: X\ngain: 1 dB\nsupply: { regulated: 40 V, unregulated: { mains: 230 V, frequency: 50 Hz, secondary: 30 V, reservoir: 1 mF } }\n',
      /not both/,
    ],
    ['a negative resistance', `${LEAST}output: { resistance: -1 ohm }\n`, /resistance/],
    ['a drop larger than the rail', `${LEAST}output: { drop: 45 V }\n`, /nothing is left/],
    [
      'a rectifier that never conducts',
      'twin: X\ngain: 1 dB\nsupply: { unregulated: { mains: 230 V, frequency: 50 Hz, secondary: 1 V, rectifier_drop: 2 V, reservoir: 1 mF } }\n',
      /never conducts/,
    ],
    [
      'curvature that bends back before the rail',
      `${LEAST}curvature: { third: 10 %, at: 5 V }\n`,
      /bends back/,
    ],
    ['restart above shutdown', `${LEAST}heat: { shutdown: 80 degC, restart: 90 degC }\n`, /lies below/],
    ['a unit too hot from the start', `${LEAST}heat: { ambient: 60 degC, shutdown: 50 degC }\n`, /too hot/],
    ['a fault that never comes', `${LEAST}dc_fault: { channel: 1, voltage: 5 V }\n`, /never comes/],
    [
      'a fault on a channel that is not there',
      `${LEAST}channels: 2\ndc_fault: { channel: 3, voltage: 5 V, after: 1 s }\n`,
      /2 channels only/,
    ],
    [
      'an override of a channel that is not there',
      `${LEAST}channels: 2\noverrides: [{ channel: 3 }]\n`,
      /2 channels only/,
    ],
    [
      'a truth of a channel that is not there',
      `${LEAST}channels: 2\ntruth: { channels: [{ channel: 3, load: 1 % }] }\n`,
      /unit\.yaml:5.*2 channels only/s,
    ],
    ['two truths of one channel', `${LEAST}truth: { channels: [{ channel: 1 }, { channel: 1 }] }\n`, /twice/],
    ['a corner far down in the audio band', `${LEAST}truth: { input_corner: 50 Hz }\n`, /input_corner.*1/s],
    ['one channel overridden twice', `${LEAST}overrides: [{ channel: 1 }, { channel: 1 }]\n`, /twice/],
    ['not a number', `${LEAST}noise: .nan V\n`, /noise/],
  ])('is refused: %s', (_, text, message) => {
    expect(refusal(text)).toMatch(message);
  });

  it('is refused with all its faults at once', () => {
    const message = refusal(`${LEAST}noise: 3\ncoupling: 4 V\nheat: { time: -1 s }\n`);
    for (const key of ['noise', 'coupling', 'time']) expect(message).toContain(key);
  });
});
