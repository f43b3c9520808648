import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readBench } from '../../../src/bench/bench-file.js';
import { readRecord } from '../../../src/calibration/record-file.js';
import { until } from '../../audio/until.js';
import { emptyFolder, ohmest, put, start } from '../ohmest.js';
import { benchWithTwin } from '../stand.js';

/** A bench whose device hands on a share of what is played: 0 is an open output, anything else a loop. */
const bench = (share: number, more = '') => `name: Program
interface:
  kind: command
  argv: ['${process.execPath}', device.mjs, '{stimulus}', '{response}']
  rate: 48 kHz
channels:
  - output: {full_scale: 2 V rms}
    input: {full_scale: 2 V rms}
    attenuator: {ratio: 25, rating: 100 V peak}
    load: {nominal: 8 ohm, rating: 200 W}
# ${share}${more}
`;

const device = (share: number) => `
import { appendFileSync, readFileSync, writeFileSync } from 'node:fs';
const [stimulus, response] = process.argv.slice(2);
appendFileSync('takes', '.');
const bytes = readFileSync(stimulus);
const from = bytes.indexOf('data') + 8;
for (let at = from; at + 4 <= bytes.length; at += 4) bytes.writeFloatLE(${share} * bytes.readFloatLE(at), at);
writeFileSync(response, bytes);
`;

function folder(share = 0): string {
  const cwd = emptyFolder();
  put(cwd, { 'bench.yaml': bench(share), 'device.mjs': device(share) });
  return cwd;
}

const METER = ['--accuracy', '0.5 % + 3 counts', '--resolution', '1 mV'];
const OUTPUT = ['calibrate', 'output', '--bench', 'bench.yaml', '--by', 'Ada', ...METER];
/** Readings of an output of 2.004 V rms, from -20 dB up, -6 dB once more. */
const READINGS = ['0.2004', '0.5034', '1.0044', '1.4187', '1.7861', '1.0044'];
const ANSWERS = ['y', ...READINGS];
const lines = (answers: readonly string[]) => answers.map((answer) => `${answer}\n`).join('');

const records = (cwd: string) =>
  existsSync(join(cwd, 'calibration')) ? readdirSync(join(cwd, 'calibration')).sort() : [];
const journal = (cwd: string) => join(cwd, 'calibration', 'unfinished-output-1.jsonl');
const answersIn = (path: string) =>
  existsSync(path)
    ? readFileSync(path, 'utf8')
        .split('\n')
        .filter((line) => line.includes('"answer"')).length
    : 0;

describe('ohmest calibrate, with a person at the meter', () => {
  it('writes a dated record that the bench file then finds, and says which line to put', async () => {
    const cwd = folder();
    const ended = await ohmest([...OUTPUT, '--instrument', 'bench meter', '--serial', '7'], {
      cwd,
      input: lines(ANSWERS),
    });
    expect(ended.status).toBe(0);
    const [name, ...others] = records(cwd);
    expect(others).toEqual([]);
    expect(name).toMatch(/^output-1-\d{4}-\d\d-\d\d\.yaml$/);
    const text = readFileSync(join(cwd, 'calibration', name!), 'utf8');
    const filed = readRecord(text, name!, name!.replace('.yaml', ''));
    expect(filed.value! / Math.SQRT2).toBeCloseTo(2.004, 3);
    expect(filed.record.due! > filed.record.date!).toBe(true);
    expect(text).toMatch(/by: Ada/);
    expect(text).toMatch(/serial: ["']?7/);
    expect(ended.stdout).toMatch(/output 1: 2\.00\d* V rms at full scale, U = 0\.68 % \(k = 2\)/);
    expect(ended.stdout).toMatch(/output: \{record: output-1\}/);

    put(cwd, { 'bench.yaml': bench(0).replace('full_scale: 2 V rms}', 'record: output-1}') });
    const again = await ohmest([...OUTPUT, '--json'], { cwd, input: lines(ANSWERS) });
    const [found] = JSON.parse(again.stdout).calibrated;
    expect(found).toMatchObject({ kind: 'output', channel: 1, family: 'output-1', named_in_bench: true });
    expect(records(cwd)).toEqual([name!.replace('.yaml', '-2.yaml'), name]);
    expect(readFileSync(join(cwd, 'calibration', name!), 'utf8')).toBe(text);
  });

  it('asks who is there when nobody was named', async () => {
    const cwd = folder();
    const args = OUTPUT.filter((arg) => arg !== '--by' && arg !== 'Ada');
    expect((await ohmest(args, { cwd, input: lines(['Grace', ...ANSWERS]) })).status).toBe(0);
    expect(readFileSync(join(cwd, 'calibration', records(cwd)[0]!), 'utf8')).toMatch(/by: Grace/);
    expect((await ohmest(args, { cwd, input: '\n' })).status).toBe(2);
  });

  it('asks again for what is no number, and takes readings with their unit', async () => {
    const cwd = folder();
    const input = lines(['y', 'NaN', '200.4 mV', '503.4 mV', '1,0044', ...READINGS.slice(2)]);
    const ended = await ohmest(OUTPUT, { cwd, input });
    expect(ended.status).toBe(0);
    expect(ended.stderr).toMatch(/expected a voltage.*'NaN'/);
    expect(ended.stderr).toMatch(/decimal mark as a point/);
    expect(ended.stdout).toMatch(/2\.00\d* V rms/);
  });

  it.each([
    ['ten times off', ['y', '2.004', '2.004'], 'READING_IMPLAUSIBLE', /ten times off/],
    ['the peak', ['y', '0.2834', '0.2834'], 'READING_IMPLAUSIBLE', /peak/],
    ['of nothing', ['y', '0', '0'], 'READING_IMPLAUSIBLE', /no signal/],
    ['negative', ['y', '-0.2', '-0.2'], 'READING_IMPLAUSIBLE', /negative/],
    ['no number twice', ['y', 'nan', 'inf'], 'BAD_QUANTITY', /expected a voltage/],
    ['not confirmed', ['n'], 'NOT_CONFIRMED', /not confirmed: .*no loop\. No record was written\./],
    ['cut off', ['y', '0.2004'], 'NOBODY_TO_ASK', /nobody is present/],
  ])('ends with status 2 and no record when readings are %s', async (_, answers, code, reason) => {
    const cwd = folder();
    const ended = await ohmest([...OUTPUT, '--json'], { cwd, input: lines(answers) });
    expect(ended.status).toBe(2);
    expect(JSON.parse(ended.stdout).error.code).toBe(code);
    expect(ended.stderr).toMatch(reason);
    expect(records(cwd).filter((name) => name.endsWith('.yaml'))).toEqual([]);
  });

  it('says all that is wrong with its arguments at once, and plays nothing', async () => {
    const cwd = folder();
    const ended = await ohmest(
      [
        'calibrate',
        'outptu',
        '--bench',
        'bench.yaml',
        '--accuracy',
        'good',
        '--level',
        '3',
        '--channel',
        '4',
      ].concat(['--due', '2020-01-01', '--name', 'a/b', '--temperature', '23']),
      { cwd },
    );
    expect(ended.status).toBe(2);
    for (const reason of [
      /Did you mean 'output'/,
      /accuracy such as/,
      /3 dB/,
      /no channel '4'/,
      /not after today/,
      /--name 'a\/b'/,
      /a temperature/,
    ])
      expect(ended.stderr).toMatch(reason);
    expect(readdirSync(cwd).sort()).toEqual(['bench.yaml', 'device.mjs']);
  });

  it('refuses, with nothing played or written, what no record would take', async () => {
    const cwd = folder();
    const words = ['--by', 'Ada\nkind: input', '--instrument', '\u001b[31m', '--serial', ''];
    const rest = ['--temperature', '1e6 degC', '--channel', '0x1', '--into', '', '--accuracy', '1 count'];
    const ended = await ohmest(
      ['calibrate', 'output', '--bench', 'bench.yaml', ...words, ...rest, '--resolution', '0 V'],
      { cwd, input: lines(ANSWERS) },
    );
    expect(ended.status).toBe(2);
    for (const reason of [
      "--by 'Ada\\u000akind: input' cannot stand in a record",
      "--instrument '\\u001b[31m' cannot stand in a record",
      "--serial '' cannot stand in a record",
      "--temperature '1e6 degC' is not the temperature of a room or load",
      "no channel '0x1'",
      '--into names no folder',
      "--resolution '0 V' cannot be the last digit of a meter",
    ])
      expect(ended.stderr).toContain(reason);
    expect(readdirSync(cwd).sort()).toEqual(['bench.yaml', 'device.mjs']);
  });

  it('refuses a typed name that no record would take before anything is played', async () => {
    const cwd = folder();
    const unnamed = OUTPUT.filter((arg) => arg !== '--by' && arg !== 'Ada');
    const ended = await ohmest(unnamed, { cwd, input: lines(['\u001b[31mAda', ...ANSWERS]) });
    expect([ended.status, existsSync(join(cwd, 'takes'))]).toEqual([2, false]);
    expect(ended.stderr).toContain("the name '\\u001b[31mAda' cannot stand in a record");
  });

  it.each([
    ['output', ['--hot'], '--hot does nothing when an output is calibrated. Leave it out: it is for load.'],
    ['input', ['--loop-only'], '--loop-only does nothing when an input is calibrated'],
    ['load', ['--level', '-20, -6, -1'], '--level does nothing when a load is calibrated'],
    ['response', ['--metered', '--loop-only'], '--metered and --loop-only contradict each other'],
  ])('refuses for %s the options %j, which would do nothing', async (what, options, said) => {
    const cwd = folder();
    const ended = await ohmest(['calibrate', what, '--bench', 'bench.yaml', ...options], { cwd });
    expect([ended.status, existsSync(join(cwd, 'takes'))]).toEqual([2, false]);
    expect(ended.stderr).toContain(said);
  });

  it('refuses to go without the accuracy of the meter', async () => {
    const cwd = folder();
    const args = OUTPUT.filter((arg) => !METER.includes(arg));
    const ended = await ohmest(args, { cwd, input: lines(ANSWERS) });
    expect(ended.status).toBe(2);
    expect(ended.stderr).toMatch(/--accuracy '0\.5 % \+ 3 counts'/);
    expect(existsSync(join(cwd, 'takes'))).toBe(false);
  });

  it('asks what joins an output to an input, and stops when it may be an amplifier', async () => {
    const cwd = folder(0.9);
    const ended = await ohmest([...OUTPUT, '--json'], { cwd, input: lines(['y', 'n']) });
    expect(ended.status).toBe(2);
    expect(JSON.parse(ended.stdout).error.code).toBe('NOT_CONFIRMED');
    expect(ended.stderr).toMatch(/Output 1 appears on input 1: they are connected/);
  });

  it('puts records nowhere among the files that ship', async () => {
    const ended = await ohmest(['calibrate', 'load', '--bench', 'stiff-pair']);
    expect(ended.status).toBe(2);
    expect(ended.stderr).toMatch(/--into/);
  });
});

describe('ohmest calibrate on a simulated bench', () => {
  /** A copy of a user's own, with its records in a folder of the bench's name. */
  function ownBench(): string {
    const cwd = emptyFolder();
    put(cwd, { 'mine.yaml': benchWithTwin('ideal-40').replace('rating: 250 W', 'record: left-load') });
    mkdirSync(join(cwd, 'calibration', 'mine'), { recursive: true });
    put(join(cwd, 'calibration', 'mine'), {
      'left-load.yaml': 'kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: 8.01 ohm\nuncertainty: 0.1 %\n',
    });
    return cwd;
  }

  it('lets the simulated meter answer, prints each reading, and needs nobody', async () => {
    const cwd = ownBench();
    const ended = await ohmest(['calibrate', 'output', '--bench', 'mine.yaml'], { cwd });
    expect(ended.status).toBe(0);
    expect(ended.stderr.match(/The simulated meter reads/g)).toHaveLength(6);
    expect(ended.stdout).toMatch(/output 1: (2\.99\d*|3(\.00\d*)?) V rms/);
    expect(ended.stdout).toMatch(/output: \{record: output-1\}/);
    const name = records(cwd).find((file) => file.startsWith('output-1-'))!;
    expect(readFileSync(join(cwd, 'calibration', name), 'utf8')).not.toMatch(/due:/);
  });

  it('puts a new record of a family beside the old one, numbered when it is the second of a day', async () => {
    const cwd = ownBench();
    const args = ['calibrate', 'load', '--bench', 'mine.yaml', '--json'];
    const first = JSON.parse((await ohmest(args, { cwd })).stdout).calibrated[0];
    expect(first).toMatchObject({ family: 'left-load', named_in_bench: true, temperature_C: 25 });
    expect(Math.abs(first.resistance_ohm / 8.01 - 1)).toBeLessThan(0.0013);
    for (let i = 0; i < 2; i += 1) expect((await ohmest(args, { cwd })).status).toBe(0);
    const names = readdirSync(join(cwd, 'calibration', 'mine')).sort();
    expect(names.map((name) => name.replace(/\d{4}-\d\d-\d\d/, 'DAY'))).toEqual([
      'left-load-DAY-2.yaml',
      'left-load-DAY-3.yaml',
      'left-load-DAY.yaml',
      'left-load.yaml',
    ]);
    // The bench file finds the newest.
    const bench = readBench(readFileSync(join(cwd, 'mine.yaml')), join(cwd, 'mine.yaml'));
    expect(bench.channels[0]!.records.map(({ id }) => id)).toEqual([expect.stringMatching(/-3$/)]);
  });

  it('says that a bench file will not find a record that was put elsewhere', async () => {
    const cwd = ownBench();
    const ended = await ohmest(['calibrate', 'load', '--bench', 'mine.yaml', '--into', 'other'], { cwd });
    expect(ended.status).toBe(0);
    expect(ended.stdout).toMatch(/not in other/);
    expect(readdirSync(join(cwd, 'other'))).toHaveLength(1);
  });
});

describe('ohmest calibrate, cut short', () => {
  /** Types some answers, and kills the program once they are all in the journal. */
  async function killedAfter(cwd: string, readings: number, signal: NodeJS.Signals) {
    const { child, ended } = start(OUTPUT, { cwd, input: null });
    child.stdin!.write(lines(ANSWERS.slice(0, 1 + readings)));
    await until(`${readings} answers are on disk`, () => answersIn(journal(cwd)) === readings, 20_000);
    child.kill(signal);
    return ended;
  }

  it.each([1, 3, 5])('by kill -9 after %i readings asks only for the others', async (readings) => {
    const cwd = folder();
    expect((await killedAfter(cwd, readings, 'SIGKILL')).signal).toBe('SIGKILL');
    expect(records(cwd)).toEqual(['unfinished-output-1.jsonl']);
    const rest = ['y', 'y', ...READINGS.slice(readings)];
    const ended = await ohmest([...OUTPUT, '--json'], { cwd, input: lines(rest) });
    expect(ended.status).toBe(0);
    expect(ended.stderr).toMatch(new RegExp(`^${readings} reading`, 'm'));
    expect(ended.stderr.match(/typed before/g)).toHaveLength(readings);
    const whole = await ohmest([...OUTPUT, '--json'], { cwd: folder(), input: lines(ANSWERS) });
    expect(JSON.parse(ended.stdout).calibrated[0].full_scale_Vpk).toBe(
      JSON.parse(whole.stdout).calibrated[0].full_scale_Vpk,
    );
    expect(records(cwd)).toHaveLength(1);
    expect(records(cwd)[0]).toMatch(/\.yaml$/);
  });

  it.each(['SIGINT', 'SIGTERM'] as const)(
    'by %s ends with status 130, without a record, readings kept',
    async (signal) => {
      const cwd = folder();
      const { status, stderr } = await killedAfter(cwd, 2, signal);
      expect(status).toBe(130);
      expect(stderr).toMatch(/ramped down.*typed readings are kept/);
      expect(records(cwd)).toEqual(['unfinished-output-1.jsonl']);
    },
  );

  it('starts afresh when asked to, and when the bench file has changed meanwhile', async () => {
    const cwd = folder();
    await killedAfter(cwd, 2, 'SIGKILL');
    const afresh = await ohmest(OUTPUT, { cwd, input: lines(['n', ...ANSWERS]) });
    expect(afresh.status).toBe(0);
    expect(afresh.stderr).not.toMatch(/typed before/);
    await killedAfter(cwd, 2, 'SIGKILL');
    put(cwd, { 'bench.yaml': bench(0, ' changed') });
    const changed = await ohmest(OUTPUT, { cwd, input: lines(ANSWERS) });
    expect(changed.status).toBe(0);
    expect(changed.stderr).toMatch(/another state of the bench file/);
    expect(records(cwd)).toHaveLength(2);
  });
});
