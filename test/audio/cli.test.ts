import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { BandResult, PowerAtThdn, Result } from '../../src/record/old-results.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { emptyFolder, ohmest, start } from '../cli/ohmest.js';
import { clippedPower } from './clipped-power.js';
import { Rig } from './rig.js';
import { until } from './until.js';

const besides = (name: string) => fileURLToPath(new URL(name, import.meta.url));
const LOOP = besides('loop.yaml');
const LIMITER = besides('rig.yaml');
const STATED_SWEEP = besides('stated-sweep.yaml');
const CLIMB_AND_SWEEP = besides('climb-and-sweep.yaml');
/** A name, and yes to whatever is asked: the checklist and the change of load. */
const ANSWERS = `Operator\n${'y\n'.repeat(40)}`;
/** R10 from 20 Hz to 20 kHz. */
const BAND_POINTS = 31;
/** Frequencies of stated-sweep.yaml. */
const STATED_POINTS = 7;
/** A climb and a sweep take as long as they sound, and longer where a busy machine has points taken again. */
const LONG = { timeout: 300_000 };

/** What `show --json` prints: the record, and its findings in the shapes that scripts rely on. */
type Shown = RunRecord & { readonly results: readonly Result[] };

/** Starts a run through the compiled program, with every question answered; `record` is what it leaves behind. */
function begin(sequence: string, bench: string, env: Readonly<Record<string, string>>) {
  const cwd = emptyFolder();
  const db = join(cwd, 'runs.db');
  const args = ['run', sequence, '--bench', bench, '--unit', 'Invented unit', '--db', db];
  const { child, ended } = start(args, { cwd, input: ANSWERS, env });
  const record = async (): Promise<Shown> => {
    const { status, stdout, stderr } = await ohmest(['show', '1', '--json', '--db', db]);
    expect(`${status} ${stderr}`).toBe('0 ');
    return JSON.parse(stdout);
  };
  return { child, ended, record };
}

async function completed(run: ReturnType<typeof begin>): Promise<Shown> {
  const { status, stderr } = await run.ended;
  expect(status, stderr).toBe(0);
  const record = await run.record();
  expect(`${record.outcome}: ${record.reason}`).toMatch(/^completed/);
  return record;
}

const marks = ({ results }: Shown) =>
  results.filter((result): result is PowerAtThdn => result.kind === 'power-at-thdn');
const bands = ({ results }: Shown) =>
  results.filter((result): result is BandResult => result.kind === 'band');
const dB = (ratio: number) => 10 * Math.log10(ratio);

let rig: Rig;
beforeAll(() => {
  rig = new Rig({ limit_dB: -6 });
});
afterAll(() => rig.stop());

it('reads the floor of a bench in a loop, and leaves out the band that has no level', LONG, async () => {
  const record = await completed(begin(CLIMB_AND_SWEEP, LOOP, rig.env));
  const loud = record.readings.filter(({ power_W }) => power_W > 10);
  expect(loud.length).toBeGreaterThan(10);
  for (const reading of loud) {
    // Dither of 24 bits: half a step of 2^-23 rms, of which 20 kHz of 24 are in the band; 0.00004 % at 10 W.
    expect(reading.thdn_percent).toBeLessThan(0.0001);
    expect(Math.abs(reading.gain_dB - dB(400))).toBeLessThan(1e-4);
    expect(reading.flags).toEqual([]);
    expect(reading.gaps).toEqual([]);
  }
  expect(Math.max(...loud.map(({ power_W }) => power_W))).toBeCloseTo(200, 2);
  expect(marks(record).map(({ power_W, bracket_dB }) => [power_W, bracket_dB])).toEqual(
    Array(4).fill([null, null]),
  );
  expect(bands(record)).toEqual([]);
  expect(record.readings.some(({ step }) => step === 'band')).toBe(false);
  expect(record.events.map((event) => 'text' in event && event.text)).toContainEqual(
    'step band was left out on every channel: step climb-1k found no power at 0.1 %',
  );
  expect(record.checklist.length).toBeGreaterThan(5);
  for (const { answer, by } of record.checklist) expect(`${answer} ${by}`).toBe('yes Operator');
});

it('carries a stated power across the band of a bench in a loop', LONG, async () => {
  const record = await completed(begin(STATED_SWEEP, LOOP, rig.env));
  expect(record.points.length).toBe(STATED_POINTS);
  expect(record.readings.length).toBe(2 * STATED_POINTS);
  for (const { power_W, thdn_percent, frequency_Hz, flags } of record.readings) {
    expect(Math.abs(dB(power_W / 50))).toBeLessThan(0.001);
    expect(thdn_percent).toBeLessThan(0.0001);
    // At 48 kHz the third harmonic of a tone above 7.26 kHz lies beyond what the converter can hear.
    expect(flags.includes('harmonics-out-of-band')).toBe(frequency_Hz > 7_260);
    expect(flags.filter((flag) => !/^(no-harmonic-in|harmonics-out-of)-band$/.test(flag))).toEqual([]);
  }
  const [band, other] = bands(record);
  expect(Math.abs(band!.low_Hz - 20)).toBeLessThan(0.5);
  expect(Math.abs(band!.high_Hz - 20_000)).toBeLessThan(3);
  expect(Math.abs(dB(band!.least_power_W / 50))).toBeLessThan(0.001);
  expect([band!.channel, other!.channel]).toEqual([1, 2]);
});

it('ends with status 4 and keeps what it has when the sound process is killed', LONG, async () => {
  const run = begin(CLIMB_AND_SWEEP, LOOP, rig.env);
  let said = '';
  run.child.stderr!.on('data', (text: string) => {
    said += text;
  });
  await until('a second point is played', () => /point [2-9]/.test(said), 60_000);
  const hosts = readFileSync(`/proc/${run.child.pid}/task/${run.child.pid}/children`, 'utf8').trim();
  process.kill(Number(hosts), 'SIGKILL');
  const { status, stdout, stderr } = await run.ended;
  expect(status, stderr).toBe(4);
  const message = 'the process that holds the sound device was ended by SIGKILL';
  expect((stdout + stderr).replace(/\s+/g, ' ')).toContain(message);
  const record = await run.record();
  expect(record).toMatchObject({ outcome: 'fault', reason: expect.stringContaining(message) });
  expect(record.points.length).toBeGreaterThan(0);
  expect(record.readings.length).toBe(2 * record.points.length);
  for (const { asked_W, number } of record.points) {
    const own = record.readings.filter(({ point }) => point === number);
    for (const { power_W } of own) expect(Math.abs(dB(power_W / asked_W!))).toBeLessThan(0.001);
  }
});

it('finds the power of a limiter, from the climb to the end of the band', LONG, async () => {
  const record = await completed(begin(CLIMB_AND_SWEEP, LIMITER, rig.env));
  const rated = (channel: number, percent: number) =>
    marks(record).find((mark) => mark.channel === channel && mark.threshold_percent === percent)!.power_W!;
  for (const channel of [1, 2]) {
    // Closed form of a hard clipper, 1 kHz, harmonics up to 20 kHz: 104.770 W for an onset of 100 W. The limiter
    // works at 48 kHz, so its harmonics beyond 24 kHz fold into the band: hence the exact comparison below.
    expect(Math.abs(dB(rated(channel, 1) / 104.77))).toBeLessThan(0.05);
    for (const percent of [0.1, 1])
      expect(Math.abs(dB(rated(channel, percent) / clippedPower(percent)))).toBeLessThan(0.01);
    const swept = record.readings.filter((reading) => reading.step === 'band' && reading.channel === channel);
    expect(swept.length).toBe(BAND_POINTS);
    for (const { power_W } of swept) expect(Math.abs(dB(power_W / rated(channel, 0.1)))).toBeLessThan(0.1);
    const band = bands(record).find((result) => result.channel === channel)!;
    expect(Math.abs(band.low_Hz - 20)).toBeLessThan(0.5);
    // An edge is approached from outside, by less than two bins of 48 000 / 32 768 Hz.
    expect(Math.abs(band.high_Hz - 20_000)).toBeLessThan(3);
    expect(Math.abs(dB(band.least_power_W / rated(channel, 0.1)))).toBeLessThan(0.1);
  }
});
