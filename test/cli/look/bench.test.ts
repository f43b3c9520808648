import { mkdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest, put } from '../ohmest.js';

/** Four channels alike, with current shunts, two loads and a floor; what it is worth can be reckoned by hand. */
const FOUR = `name: Four alike
interface: {kind: audio, play: Nowhere, capture: Nowhere, rate: 48 kHz, bits: 24}
floor: 0.0009 %
assumed_gain: 32 dB
channels:
  count: 4
  all:
    output: {full_scale: 2 V rms}
    input: {full_scale: 2 V rms, uncertainty: 0.1 %}
    attenuator: {ratio: 25, rating: 150 V peak, uncertainty: 0.1 %}
    current: {channel: 5, full_scale: 2 V rms, shunt: 0.1 ohm}
    load:
      - {nominal: 8 ohm, rating: 100 W, short_rating: 300 W, uncertainty: 0.2 %}
      - {nominal: 4 ohm, measured: 4.03 ohm, rating: 400 W, uncertainty: 0.2 %}
  overrides:
${[2, 3, 4].map((n) => `    - {channel: ${n}, current: {channel: ${n + 4}, full_scale: 2 V rms, shunt: 0.1 ohm}}\n`).join('')}`;

const RECORDED = `name: Recorded
interface: {kind: audio, play: Nowhere, capture: Nowhere, rate: 96 kHz, bits: 24}
channels:
  - output: {full_scale: 2 V rms}
    input: {record: my-input}
    attenuator: {ratio: 25, rating: 150 V peak}
    load: {nominal: 8 ohm, rating: 100 W}
`;
const INPUT =
  'kind: input\nchannel: 1\nvalue: 2 V rms\nuncertainty: 0.1 %\ndate: 2020-01-01\ndue: 2021-01-01\n';

const longest = (text: string) => Math.max(...text.split('\n').map((line) => line.length));

describe('bench', () => {
  it.each([
    ['stiff-pair', '150 W 8 ohm'],
    ['seven-shared', '150 W 8 ohm'],
    ['installed-eight', '50 W 4 ohm'],
    ['switching-treble', '300 W 4 ohm'],
  ])('looks %s over within 80 columns of plain ASCII, and writes nothing', async (named, unit) => {
    const cwd = emptyFolder();
    const { status, stdout, stderr } = await ohmest(['bench', named, '--for', unit], {
      cwd,
      env: { NO_COLOR: '1', LC_ALL: 'C' },
    });
    expect([status, stderr]).toEqual([0, '']);
    expect(longest(stdout)).toBeLessThanOrEqual(80);
    expect(stdout).toMatch(/^[\n\x20-\x7e]*$/);
    // Names of records are whole, so that they can be looked for.
    for (const [name] of stdout.matchAll(/\b\w+(-\w+)*-2026-\S*/g)) expect(name).toMatch(/-2026-02-10$/);
    expect(filesIn(cwd)).toEqual([]);
  });

  it('draws the way from converter to converter with the volts at each place, channels alike once', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'four.yaml': FOUR });
    const { stdout } = await ohmest(['bench', 'four.yaml'], { cwd });
    expect(stdout.slice(stdout.indexOf('Channels'), stdout.indexOf('Measuring range'))).toBe(
      `Channels 1 to 4
  output 1 to 4    2.000 V rms, 2.828 V peak at full scale
    |
  unit             gain assumed up to 32 dB until measured
    |
  load 8 ohm       8 ohm, rated 100.0 W continuous, 300.0 W for seconds
  load 4 ohm       4.03 ohm, rated 400.0 W continuous
      |--- shunt   100 mohm to input 5 to 8, full scale 28.3 A peak
      |            50.00 V rms, 70.71 V peak here drive the input to full scale
  divide by 25     attenuator, rated 150.0 V peak
    |
  input 1 to 4     2.000 V rms, 2.828 V peak at full scale

`,
    );
    // 50 V rms into 8 ohm are 312.5 W, into 4.03 ohm 620.3 W; the loads let less through.
    expect(stdout).toMatch(/1 to 4 +8 ohm +50\.0 V rms, .*300\.0 W by/);
    expect(stdout).toContain('312.5 W');
    expect(stdout).toContain('620.3 W');
    expect(stdout).toMatch(/output 1 to 4 +not stated +none/);
    expect(stdout).toMatch(/input 1 to 4 +0\.2 % +bench file/);
    expect(stdout).toMatch(/Channels 1 to 4: the uncertainty of the output is not stated/);
  });

  it('names each input once when channels take turns at them', async () => {
    const cwd = emptyFolder();
    const input = (channel: number) => `input: {channel: ${channel}, full_scale: 2 V rms}`;
    const alike =
      'output: {full_scale: 2 V rms}, attenuator: {ratio: 25, rating: 150 V peak}, load: {nominal: 8 ohm, rating: 100 W}';
    const text = RECORDED.replace(/channels:[\s\S]*$/, `shared_inputs: yes\nchannels:\n`);
    put(cwd, { 'b.yaml': text + [1, 2, 1, 2].map((n) => `  - {${alike}, ${input(n)}}\n`).join('') });
    const { stdout } = await ohmest(['bench', 'b.yaml'], { cwd });
    expect(stdout).toContain('  input 1 and 2    2.000 V rms, 2.828 V peak at full scale, taken in turns\n');
  });

  it('says in words what is overdue, by how much, and how to mend it', async () => {
    const folder = emptyFolder();
    put(folder, { 'b.yaml': RECORDED });
    mkdirSync(`${folder}/calibration`);
    put(`${folder}/calibration`, { 'my-input.yaml': INPUT });
    const { status, stdout } = await ohmest(['bench', 'b.yaml'], { cwd: folder });
    expect(status).toBe(0);
    expect(stdout).toMatch(/input 1 +0\.2 % +my-input +2020-01-01 +2021-01-01: OVERDUE/);
    expect(stdout.replaceAll(/\s+/g, ' ')).toMatch(
      /The calibration of input 1 is overdue by \d{4,} days \(record my-input\)\. Measure again: ohmest calibrate input --bench b\.yaml/,
    );
    const { overdue, parts } = JSON.parse(
      (await ohmest(['bench', 'b.yaml', '--json'], { cwd: folder })).stdout,
    );
    expect(overdue).toEqual(['my-input']);
    expect(parts.find((part: { part: string }) => part.part === 'input')).toMatchObject({
      record: 'my-input',
      due: '2021-01-01',
      overdue: true,
      uncertainty_percent: 0.2,
    });
  });

  it('--json gives the survey and the headroom as one document with units in the names', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'four.yaml': FOUR });
    const { status, stdout } = await ohmest(['bench', 'four.yaml', '--for', '150 W, 8 ohm', '--json'], {
      cwd,
    });
    expect(status).toBe(0);
    const found = JSON.parse(stdout);
    expect(found).toMatchObject({ bench: 'Four alike', kind: 'audio', rate_Hz: 48_000, overdue: [] });
    expect(found.third_harmonic_up_to_Hz).toBeCloseTo(7256.2, 1);
    expect(found.channels).toHaveLength(4);
    expect(found.channels[3].current_tap).toMatchObject({ channel: 8, shunt_ohm: 0.1 });
    expect(found.channels[0].loads[0]).toMatchObject({ load_ohm: 8, load_short_W: 300, decided_by: 'load' });
    // 0.1 % of volts twice over, twice; 0.2 % of ohms; k = 2: 2 x sqrt(4 x 0.01 + 4 x 0.01 + 0.04) %.
    expect(found.channels[0].loads[0].power_uncertainty_percent).toBeCloseTo(2 * Math.sqrt(0.12), 9);
    expect(found.for).toMatchObject({ power_W: 150, load_ohm: 8, one_percent_above_knee_dB: 0.5 });
    const [room] = found.for.channels;
    expect(room.knee_level_dB).toBeCloseTo(-3.1876, 4);
    expect(room.attenuator).toMatchObject({ fits: true, preferred_ratio: 25, stands_it: true });
    expect(room).toMatchObject({ sees_mark: true, load_stands_it: 'seconds' });
    expect(room.uncertainty_W).toBeCloseTo((150 * 2 * Math.sqrt(0.12)) / 100, 9);
  });

  it.each([
    ['150 W 8 ohm', '', 'Suitable: resolves 0.1 % at 150.0 W, within all ratings.'],
    ['350 W into 8 ohm', '', '! Cannot resolve 0.1 % at 350.0 W: the input overloads 0.492 dB below it.'],
    ['300 W 8 ohm', '', '! Cannot follow the unit to 1 %: the input overloads first.'],
    [
      '150 W, 8 ohm',
      'floor: 0.06 %',
      '! Cannot resolve 0.1 % at 150.0 W: below 0.12 % the residual of the bench dominates',
    ],
    ['150 W 8 ohm', 'dc_limit: 2 V', '! Not known whether it resolves 0.1 % at 150.0 W'],
    ['5 W 8 ohm', '', 'Attenuator: 1:25 attenuates too much; between 3.55 and 12.6 '],
  ])('--for %j on a bench with %j says: %s', async (unit, line, said) => {
    const cwd = emptyFolder();
    const text = FOUR.replace('100 W, short_rating: 300 W', '800 W').replace('150 V peak', '200 V peak');
    put(cwd, { 'b.yaml': line === '' ? text : text.replace('floor: 0.0009 %', line) });
    const { stdout } = await ohmest(['bench', 'b.yaml', '--for', unit], { cwd });
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain(said);
  });

  it.each([
    ['10 ohm', "expected a power and a load such as '150 W 8 ohm', got '10 ohm'"],
    ['150 W', "expected a power and a load such as '150 W 8 ohm', got '150 W'"],
    ['150 W 8', "expected a resistance such as 8 ohm or 100 mohm, got '8'. Give the unit"],
    ['150 mV 8 ohm', "expected a power and a load such as '150 W 8 ohm'"],
    ['NaN W 8 ohm', "expected a power such as 50 mW or 100 W, got 'NaN W'"],
    ['0 W 8 ohm', "no amplifier gives '0 W'. Give a power from 1 uW to 1000 kW"],
    ['-5 W 8 ohm', "no amplifier gives '-5 W'"],
    ['10 W 6 ohm', 'no channel of this bench has a load of 6 ohm. Its loads are 8 ohm'],
    ['', "expected a power and a load such as '150 W 8 ohm', got ''"],
  ])('--for %j is refused with one message and status 2', async (unit, said) => {
    const { status, stdout, stderr } = await ohmest(['bench', 'stiff-pair', '--for', unit]);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain(`ohmest: --for: ${said}`);
    expect(stderr.trim().split('\n')).toHaveLength(1);
  });

  it('says at once what is wrong with the bench, with its twin and with the question', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'b.yaml': 'name: B\nrate: 3\n' });
    const { status, stderr } = await ohmest(['bench', 'b.yaml', '--for', 'much'], { cwd });
    expect(status).toBe(2);
    expect(stderr).toContain("got 'much'");
    expect(stderr).toContain('b.yaml:2:1');
  });
});
