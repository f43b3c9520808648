import { mkdirSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { RunRecord } from '../../../src/record/run-record.js';
import { until } from '../../audio/until.js';
import { emptyFolder, ohmest, put, start } from '../ohmest.js';
import { device, programBench } from '../stand.js';

const patient = { timeout: 90_000 };

const STEPS = `name: Three steps
load: 8 ohm
steps:
  - ask: Is the volume at its mark?
  - sweep: {id: low, level: 1 W, frequencies: [500 Hz, 1 kHz, 2 kHz]}
  - sweep: {id: high, level: 2 W, frequencies: [500 Hz, 1 kHz, 2 kHz, 4 kHz]}
`;

const RUN = ['run', 'steps.yaml', '--bench', 'bench.yaml', '--unit', 'Invented unit', '--json'];
const BY_NUMBER = ['resume', '1', '--json'];
const RESUME = [...BY_NUMBER, '--bench', 'bench.yaml'];

/** A run on a program's bench whose device fails in the middle: hardware or not, as far as ohmest knows. */
async function brokenRun(
  hardware: 'practice' | 'no',
  input = '',
): Promise<{ cwd: string; broken: RunRecord }> {
  const cwd = emptyFolder();
  put(cwd, { 'steps.yaml': STEPS, 'bench.yaml': programBench(hardware), 'device.mjs': device(13) });
  const ended = await ohmest(RUN, { cwd, input });
  expect(ended.status).toBe(4);
  put(cwd, { 'device.mjs': device() });
  return { cwd, broken: JSON.parse(ended.stdout) };
}

const answers = (count: number) => `Ada\n${'y\n'.repeat(count)}`;

describe('a run whose device was lost', patient, () => {
  it('goes on where it was, and tells of it', async () => {
    const { cwd, broken } = await brokenRun('no');
    expect(broken.points.length).toBeGreaterThan(3);
    expect(broken.points.length).toBeLessThan(7);
    // The sequence comes from the database: what its file says by now is no matter.
    put(cwd, { 'steps.yaml': 'name: Another' });
    const ended = await ohmest(RESUME, { cwd });
    expect(ended.status).toBe(0);
    const whole: RunRecord = JSON.parse(ended.stdout);
    expect(whole).toMatchObject({ run: 1, outcome: 'completed', unit: { label: 'Invented unit' } });
    expect(whole.points).toHaveLength(7);
    expect(whole.points.slice(0, broken.points.length)).toEqual(broken.points);
    expect(whole.readings.slice(0, broken.readings.length)).toEqual(broken.readings);
    expect([...new Set(whole.findings.map(({ setting }) => setting.step))]).toEqual(['low', 'high']);
    const last_s = Math.max(...[...broken.points, ...broken.events].map(({ at_s }) => at_s));
    expect(whole.sessions).toMatchObject([
      { number: 2, at_s: last_s, first_point: broken.points.length + 1, before: `fault: ${broken.reason}` },
    ]);
    expect(JSON.parse((await ohmest(['show', '1', '--json'], { cwd })).stdout)).toEqual(whole);
    const lines = readFileSync(join(cwd, 'ohmest.db.log'), 'utf8').trim().split('\n');
    expect(lines.filter((line) => line.includes('run resumed'))).toHaveLength(1);
  });

  it('starts no program that the command does not name the bench file of', async () => {
    const { cwd, broken } = await brokenRun('no');
    const takes = statSync(join(cwd, 'takes')).size;
    // A variable that a shell brought along is no more of a name.
    const ended = await ohmest(BY_NUMBER, { cwd, input: 'y\n', env: { OHMEST_BENCH: 'bench.yaml' } });
    expect(ended.status).toBe(2);
    const { code, what, fix } = JSON.parse(ended.stdout).error;
    expect(code).toBe('PROGRAMS_NOT_NAMED');
    expect(what).toContain(`the interface: '${process.execPath}' 'device.mjs' '{stimulus}' '{response}'`);
    expect(fix).toContain('--bench bench.yaml');
    expect(statSync(join(cwd, 'takes')).size).toBe(takes);
    const after: RunRecord = JSON.parse((await ohmest(['show', '1', '--json'], { cwd })).stdout);
    expect(after.points).toEqual(broken.points);
  });

  it('writes its report, and is done once it is complete', async () => {
    const { cwd } = await brokenRun('no');
    const ended = await ohmest(['resume', '1', '--bench', 'bench.yaml', '--report', 'page.html'], { cwd });
    expect(ended.status).toBe(0);
    expect(readFileSync(join(cwd, 'page.html'), 'utf8')).toContain('Invented unit');
    const again = await ohmest(RESUME, { cwd });
    expect(again.status).toBe(2);
    expect(JSON.parse(again.stdout).error.code).toBe('RUN_COMPLETE');
  });

  it('on a bench with power has the whole checklist answered again, and what was confirmed on the way', async () => {
    const { cwd, broken } = await brokenRun('practice', answers(30));
    const unanswered = await ohmest(RESUME, { cwd });
    expect(unanswered.status).toBe(2);
    expect(JSON.parse(unanswered.stdout).error.code).toBe('NOBODY_TO_ASK');
    const before: RunRecord = JSON.parse((await ohmest(['show', '1', '--json'], { cwd })).stdout);
    expect(before.sessions).toEqual([]);

    const ended = await ohmest(RESUME, { cwd, input: answers(30) });
    expect(ended.status).toBe(0);
    const whole: RunRecord = JSON.parse(ended.stdout);
    expect(whole.checklist).toHaveLength(2 * broken.checklist.length);
    const asked = whole.events.filter((event) => event.kind === 'answered');
    // The question, and each time the connections with what is confirmed on them.
    const again = asked.findIndex(({ subjects }) => subjects.includes('same-set-up'));
    expect(asked.slice(1, again).map(({ text }) => text)).toEqual(
      asked.slice(again + 1).map(({ text }) => text),
    );
    expect(asked[again]).toMatchObject({ answer: 'confirmed' });
    expect(asked[again]?.text).toMatch(/this was confirmed: "Is the volume at its mark\?"\. Is it still so/);
    expect(asked[again + 1]?.text).toMatch(/^Switch the unit off\..* Connect 8 ohm/);
    expect(asked.at(-1)?.text).toMatch(/switch the unit on/);
  });

  it('that the operator has stopped goes on only when the cause was found', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'steps.yaml': STEPS, 'bench.yaml': programBench('practice'), 'device.mjs': device() });
    const { before_connecting } = JSON.parse(
      (await ohmest(['plan', 'steps.yaml', '--bench', 'bench.yaml', '--json'], { cwd })).stdout,
    );
    const checklist = 'y\n'.repeat(before_connecting.length);
    const stopped = await ohmest(RUN, { cwd, input: `Ada\n${checklist}no\n` });
    expect(stopped.status).toBe(3);
    const refused = await ohmest(RESUME, { cwd, input: `Ada\n${checklist}no\n` });
    expect(refused.status).toBe(2);
    expect(JSON.parse(refused.stdout).error.what).toMatch(
      /^not confirmed: Run 1 was stopped: the operator did not confirm: .*Has the cause been found and removed\?/,
    );
    const ended = await ohmest(RESUME, { cwd, input: `Ada\n${checklist}${'y\n'.repeat(30)}` });
    expect(ended.status).toBe(0);
    expect(JSON.parse(ended.stdout).checklist.at(-1).item).toMatch(/Has the cause been found/);
  });
});

describe('a run under a permit', patient, () => {
  const sign = async (cwd: string): Promise<string> => {
    const args = ['permit', 'steps.yaml', '--bench', 'bench.yaml', '--json'];
    return JSON.parse((await ohmest(args, { cwd, input: answers(30) })).stdout).permit.id;
  };

  it('goes on under the same one, or under a new one that then counts as used', async () => {
    const cwd = emptyFolder();
    const unasked = STEPS.replace(/ {2}- ask:.*\n/, '');
    put(cwd, { 'steps.yaml': unasked, 'bench.yaml': programBench('practice'), 'device.mjs': device(13) });
    const first = await sign(cwd);
    const broken = await ohmest([...RUN, '--permit', first], { cwd });
    expect(broken.status).toBe(4);
    expect((await ohmest([...RESUME, '--permit', first], { cwd })).status).toBe(4);
    put(cwd, { 'device.mjs': device() });
    const second = await sign(cwd);
    const ended = await ohmest([...RESUME, '--permit', second], { cwd });
    expect(ended.status).toBe(0);
    const { outcome, permit, sessions, checklist } = JSON.parse(ended.stdout) as RunRecord;
    expect([outcome, permit?.id]).toEqual(['completed', first]);
    expect(sessions.map((session) => session.permit)).toEqual([null, second]);
    expect(new Set(checklist.map(({ by }) => by))).toEqual(new Set(['Ada']));
    expect(checklist).toHaveLength(3 * permit!.checklist.length);
    const refused = await ohmest([...RUN, '--permit', second], { cwd });
    expect(JSON.parse(refused.stdout).error.code).toBe('PERMIT_REFUSED');
  });

  it('that its limits have ended waits for a person', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'steps.yaml': STEPS, 'bench.yaml': programBench('practice'), 'device.mjs': device() });
    await ohmest(RUN, { cwd, input: `${answers(8)}no\n` });
    const refused = await ohmest([...RESUME, '--permit', 'any'], { cwd });
    expect(refused.status).toBe(2);
    expect(JSON.parse(refused.stdout).error.code).toBe('CAUSE_UNKNOWN');
  });
});

describe('a run that may not go on', patient, () => {
  let cwd = '';
  let shown = '';
  const show = async () => (await ohmest(['show', '1', '--json'], { cwd })).stdout;
  beforeAll(async () => {
    ({ cwd } = await brokenRun('no'));
    shown = await show();
  }, 60_000);

  const refused = async (args: readonly string[]) => {
    const ended = await ohmest([...BY_NUMBER, ...args], { cwd });
    expect(ended.status).toBe(2);
    expect(await show()).toBe(shown);
    return JSON.parse(ended.stdout).error as { code: string; what: string };
  };

  it('is one whose bench file has changed', async () => {
    put(cwd, { 'other.yaml': `${programBench('no')}# a remark\n` });
    const { code, what } = await refused(['--bench', 'other.yaml']);
    expect(code).toBe('BENCH_CHANGED');
    expect(what).toMatch(
      /the bench file is another \('Program', SHA-256 [0-9a-f]{12}, then; .* in other\.yaml now/,
    );
  });

  it('is one whose bench file is not to be found', async () => {
    mkdirSync(join(cwd, 'away'));
    renameSync(join(cwd, 'bench.yaml'), join(cwd, 'away', 'bench.yaml'));
    const { code, what } = await refused([]);
    expect(code).toBe('BENCH_NOT_FOUND');
    expect(what).toContain("'Program'");
    renameSync(join(cwd, 'away', 'bench.yaml'), join(cwd, 'bench.yaml'));
  });

  it.each([
    ['9', 'RUN_NOT_FOUND'],
    ['one', 'NOT_A_RUN_NUMBER'],
  ])('is %s, of which there is none', async (number, code) => {
    const ended = await ohmest(['resume', number, '--json'], { cwd });
    expect(ended.status).toBe(2);
    expect(JSON.parse(ended.stdout).error.code).toBe(code);
  });

  it('is one with a permit that does not exist', async () => {
    expect((await refused(['--bench', 'bench.yaml', '--permit', 'none'])).code).toBe('PERMIT_UNKNOWN');
  });
});

describe('a run whose calibration has changed', patient, () => {
  it('does not go on, and names each record', async () => {
    const cwd = emptyFolder();
    const record = (value: string, date: string) => `kind: load
channel: 1
nominal: 8 ohm
value: ${value}
uncertainty: 0.1 %
date: ${date}
by: Ada
`;
    const bench = programBench('no').replace(
      'load: {nominal: 8 ohm, rating: 200 W}',
      'load: {nominal: 8 ohm, record: own-load, rating: 200 W}',
    );
    mkdirSync(join(cwd, 'calibration'));
    const path = join(cwd, 'calibration', 'own-load-2026-01-01.yaml');
    writeFileSync(path, record('8.01 ohm', '2026-01-01'));
    put(cwd, { 'steps.yaml': STEPS, 'bench.yaml': bench, 'device.mjs': device(13) });
    expect((await ohmest(RUN, { cwd })).status).toBe(4);
    writeFileSync(path, record('8.02 ohm', '2026-01-01'));
    const ended = await ohmest(RESUME, { cwd });
    expect(ended.status).toBe(2);
    expect(JSON.parse(ended.stdout).error.what).toMatch(
      /the load record own-load-2026-01-01 has changed \(SHA-256 [0-9a-f]{12} then, [0-9a-f]{12} now\)/,
    );
  });
});

describe('a run that is still going on', patient, () => {
  it('is left to the program that records it', async () => {
    const cwd = emptyFolder();
    const long = `name: Long\nload: 8 ohm\nsteps:\n  - hold: {id: stay, frequency: 1 kHz, level: 1 W, for: 5 h, every: 1 s}\n`;
    put(cwd, { 'long.yaml': long });
    const { child, ended } = start(['run', 'long.yaml', '--bench', 'ideal-40', '--unit', 'U'], { cwd });
    const log = join(cwd, 'ohmest.db.log');
    const text = () => {
      try {
        return readFileSync(log, 'utf8');
      } catch {
        return '';
      }
    };
    await until('a point is stored', () => text().includes('"point"'), 30_000);
    const refused = await ohmest(BY_NUMBER, { cwd });
    expect(JSON.parse(refused.stdout).error.code).toBe('RUN_BUSY');
    child.kill('SIGINT');
    expect((await ended).status).toBe(130);
  });
});
