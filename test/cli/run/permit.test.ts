import { copyFileSync, existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { formatQuantity as words } from '../../../src/units/format.js';
import { isAlive, pidFrom, until } from '../../bench/command/processes.js';
import { emptyFolder, filesIn, ohmest, put, start } from '../ohmest.js';
import { benchWithTwin, device, LONG, programBench, SHORT } from '../stand.js';

const ASKS = `${SHORT.replace('steps:', 'steps:\n  - ask: Is the fan on?')}  - sweep: {id: four, load: 4 ohm, level: 1 W, frequencies: [1 kHz]}\n`;
const BENCH = programBench('practice').replace(
  'load: {nominal: 8 ohm, rating: 200 W}',
  'load: [{nominal: 8 ohm, rating: 200 W}, {nominal: 4 ohm, rating: 200 W}]',
);

/** Spares the question about the supply of the unit. */
const SUPPLY = 'unit_supply: {outputs: single-ended, rails: 80 V}\n';

/** A bench that is asked of like one that drives real equipment. */
function folder(more: Readonly<Record<string, string>> = {}): string {
  const cwd = emptyFolder();
  put(cwd, { 'short.yaml': SHORT, 'bench.yaml': BENCH, 'device.mjs': device(), ...more });
  return cwd;
}

const SIGN = ['permit', 'short.yaml', '--bench', 'bench.yaml'];
const YES = `Ada\n${'yes\n'.repeat(40)}`;
const played = (cwd: string) => existsSync(join(cwd, 'takes'));

async function signed(cwd: string, ...more: readonly string[]) {
  const ended = await ohmest([...SIGN, '--json', ...more], { cwd, input: YES });
  expect([ended.status, ended.stderr]).toEqual([0, expect.any(String)]);
  return JSON.parse(ended.stdout).permit;
}

async function run(cwd: string, id: string, ...more: readonly string[]) {
  const args = [
    'run',
    'short.yaml',
    '--bench',
    'bench.yaml',
    '--unit',
    'U',
    '--json',
    '--permit',
    id,
    ...more,
  ];
  const ended = await ohmest(args, { cwd, input: '' });
  return { ...ended, document: JSON.parse(ended.stdout) };
}

describe('ohmest permit', () => {
  it('shows the worst case, asks everything in person, plays nothing, and signs', async () => {
    const cwd = folder();
    const ended = await ohmest(SIGN, { cwd, input: YES });
    expect(ended.status).toBe(0);
    const planned = await ohmest(['plan', ...SIGN.slice(1), '--json'], { cwd });
    const { heat_J, mean_W } = JSON.parse(planned.stdout).loads[0];
    for (const said of [
      /2\.83 V rms, 4\.00 V peak/,
      new RegExp(`Up to ${words(heat_J, 'J')} of heat into the hottest load, 8 ohm on channel 1`),
      new RegExp(
        `a mean of\\s+${words(mean_W, 'W')}, ${words(mean_W / 2, '%', { figures: 2 })} of its\\s+rating of 200.0 W`,
      ),
      /It runs to its end with nobody present/,
      /Ends the run after the take: More than 2\.00 V of DC/,
      /Ends the run after the take: Estimated load temperature above that of 105 %/,
      /No trip takes effect before the end of a take, up to [0-9.]+ s/,
      /No sensor monitors/,
      /Connect 8 ohm to channel 1/,
      /smoke alarm/,
    ])
      expect(ended.stderr.replaceAll(/\s+/g, ' ')).toMatch(said);
    expect(ended.stdout).toMatch(/^permit p-\w{6}, signed by Ada, for one run that starts within 12 h\n/);
    expect(played(cwd)).toBe(false);
  });

  it('binds sequence, bench, claim, person and expiry', async () => {
    const permit = await signed(folder(), '--expires', '2 d', '--claim', '100 W');
    expect(permit).toMatchObject({ sequence: 'Short', bench: 'Program', claim: '100 W', by: 'Ada' });
    for (const hash of [permit.sequence_sha256, permit.bench_fingerprint])
      expect(hash).toMatch(/^[0-9a-f]{64}$/);
    expect(Date.parse(permit.expires) - Date.parse(permit.signed)).toBe(2 * 86_400_000);
    expect(permit.worst).toMatchObject({
      power_W: 1,
      trips: expect.arrayContaining([expect.stringMatching(/DC/)]),
    });
    expect(new Set(permit.checklist.map(({ answer }: { answer: string }) => answer))).toEqual(
      new Set(['yes']),
    );
  });

  it('goes as far as one wiring goes, on the questions answered while signing, and connects nothing else', async () => {
    const cwd = folder({ 'short.yaml': ASKS });
    const { id, checklist } = await signed(cwd);
    expect(checklist).toContainEqual({ item: 'Is the fan on?', answer: 'yes' });
    const first = await run(cwd, id);
    expect([first.status, first.document.outcome]).toEqual([130, 'interrupted']);
    expect(first.document.reason).toMatch(
      /^a person is needed at the bench: Switch the unit off.*Connect 4 ohm/,
    );
    expect(first.document.points).toHaveLength(3);
    // A resumed run begins with a connection as well: not the signed one, which nobody is there to make.
    const resume = ['resume', '1', '--bench', 'bench.yaml', '--permit', id, '--json'];
    const again = await ohmest(resume, { cwd, input: '' });
    const after = JSON.parse(again.stdout);
    expect([again.status, after.outcome, after.points.length]).toEqual([130, 'interrupted', 3]);
    expect(after.reason).toMatch(/^a person is needed at the bench: Switch the unit off.*Connect 4 ohm/);
  });

  it.each([
    ['8 d', 'BAD_QUANTITY'],
    ['59 s', 'BAD_QUANTITY'],
    ['12', 'BAD_QUANTITY'],
    ['soon', 'BAD_QUANTITY'],
  ])('--expires %j is refused', async (expires, code) => {
    const ended = await ohmest([...SIGN, '--json', '--expires', expires], { cwd: folder(), input: YES });
    expect([ended.status, JSON.parse(ended.stdout).error.code]).toEqual([2, code]);
    expect(JSON.parse(ended.stdout).error.where).toBe('--expires');
  });

  it.each([
    ['nobody to answer', '', 'NOBODY_TO_ASK'],
    ['no name', '\n', 'NAME_NEEDED'],
    ['an answer of no', 'Ada\nyes\nyes\nno\n', 'CHECKLIST_REFUSED'],
    ['too few answers', 'Ada\nyes\nyes\n', 'NOBODY_TO_ASK'],
  ])('with %s signs nothing', async (_, input, code) => {
    const cwd = folder();
    const ended = await ohmest([...SIGN, '--json'], { cwd, input });
    expect([ended.status, JSON.parse(ended.stdout).error.code]).toEqual([2, code]);
    expect(filesIn(cwd)).not.toContain('ohmest.db');
  });

  it('lets people practise on a simulated bench, saying that no permit is needed', async () => {
    const cwd = folder({ 'bench.yaml': `${benchWithTwin('ideal-40')}${SUPPLY}` });
    const ended = await ohmest(['permit', 'quick-look', '--bench', 'bench.yaml'], { cwd, input: YES });
    expect([ended.status, ended.stderr]).toEqual([
      0,
      expect.stringMatching(/puts no power on any\s+terminal/),
    ]);
  });

  it('reads every probe first, and refuses one that is silent or beyond its limits', async () => {
    const probe = (code: string, more = '') =>
      `${BENCH}probes:\n  - {name: sink, argv: ['${process.execPath}', '-e', '${code}'], unit: degC, high: 85${more}}\n`;
    const sign = async (bench: string) =>
      ohmest([...SIGN, '--json'], { cwd: folder({ 'bench.yaml': bench }), input: YES });
    expect((await sign(probe('console.log(41.5)'))).stderr).toContain('Sensor sink reads 41.5 °C now');
    const hot = await sign(probe('console.log(90)'));
    expect([hot.status, JSON.parse(hot.stdout).error]).toEqual([
      2,
      expect.objectContaining({
        code: 'PROBE_NOT_WELL',
        what: expect.stringContaining('90 °C now, beyond'),
      }),
    ]);
    const silent = await sign(probe('process.exit(1)'));
    expect(JSON.parse(silent.stdout).error.what).toMatch(
      /sensor sink gives no value: .* ended with status 1/,
    );
    expect((await sign(probe('process.exit(1)', ', needed: no'))).status).toBe(0);
  });
});

describe('ohmest run --permit', () => {
  it('asks nothing, and records who signed, when, and what was confirmed', async () => {
    const cwd = folder();
    const permit = await signed(cwd);
    const { status, document } = await run(cwd, permit.id);
    expect([status, document.outcome, played(cwd)]).toEqual([0, 'completed', true]);
    expect(document.permit).toMatchObject({ id: permit.id, by: 'Ada', signed: permit.signed });
    expect(document.checklist).toEqual(
      permit.checklist.map((answer: object) => ({ ...answer, by: 'Ada', at: permit.signed })),
    );
  });

  it('serves one run', async () => {
    const cwd = folder();
    const { id } = await signed(cwd);
    await run(cwd, id);
    const again = await run(cwd, id);
    expect([again.status, again.document.error.code]).toEqual([2, 'PERMIT_REFUSED']);
    expect(again.document.error.what).toContain('run 1 has used it');
    const list = JSON.parse((await ohmest(['permits', '--json'], { cwd })).stdout).permits;
    expect(list).toMatchObject([{ id, run: 1 }]);
    expect((await ohmest(['permits'], { cwd })).stdout).toMatch(new RegExp(`${id}.*used by run 1`));
  });

  it('serves one of two runs that begin at the same time', async () => {
    // A simulated bench is not locked: nothing but the permit keeps the two apart.
    const cwd = folder({ 'bench.yaml': `${benchWithTwin('ideal-40')}${SUPPLY}` });
    const { id } = await signed(cwd);
    const both = await Promise.all([run(cwd, id), run(cwd, id)]);
    expect(both.map(({ status }) => status).sort()).toEqual([0, 2]);
    expect(both.flatMap(({ document }) => document.error?.code ?? [])).toEqual(['PERMIT_REFUSED']);
    expect(JSON.parse((await ohmest(['runs', '--json'], { cwd })).stdout).runs).toHaveLength(1);
  });

  it('is not brought along by a copy of the database', async () => {
    const cwd = folder();
    const { id } = await signed(cwd);
    copyFileSync(join(cwd, 'ohmest.db'), join(cwd, 'copy.db'));
    const refused = await run(cwd, id, '--db', 'copy.db');
    expect([refused.status, refused.document.error.code]).toEqual([2, 'PERMIT_REFUSED']);
    expect(refused.document.error.what).toMatch(
      /signed for the database .*ohmest\.db, and this is .*copy\.db/,
    );
    expect(played(cwd)).toBe(false);
  });

  it.each([
    [
      'the sequence',
      { 'short.yaml': `${SHORT}# changed\n` },
      [],
      /the sequence differs: signed for \w{12}, found \w{12}/,
    ],
    [
      'the bench',
      { 'bench.yaml': `${BENCH}# changed\n` },
      [],
      /the bench, its calibration or a program of it differs: signed for/,
    ],
    [
      'a program of the bench',
      { 'device.mjs': `${device()}// changed\n` },
      [],
      /the bench, its calibration or a program of it differs: signed for/,
    ],
    ['the claim', {}, ['--claim', '100 W'], /the claim differs: signed for none, found '100 W'/],
  ])('refuses when %s differs, and plays nothing', async (_, files, more, said) => {
    const cwd = folder();
    const { id } = await signed(cwd);
    put(cwd, files);
    const refused = await run(cwd, id, ...more);
    expect([refused.status, refused.document.error.code]).toEqual([2, 'PERMIT_REFUSED']);
    expect(refused.document.error.what).toMatch(said);
    expect(played(cwd)).toBe(false);
  });

  it('goes on when the terminal session ends', async () => {
    const cwd = folder();
    put(cwd, {
      'short.yaml': LONG.replaceAll(
        /( {2}- sweep.*\n)+/g,
        '  - sweep: {level: 1 W, frequencies: R10 from 20 Hz to 20 kHz}\n',
      ),
    });
    put(cwd, { 'bench.yaml': `${benchWithTwin('ideal-40')}${SUPPLY}` });
    const { id } = await signed(cwd);
    const args = ['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--permit', id];
    const { child, ended } = start(args, { cwd });
    // The first line of progress: the run is under way.
    child.stderr!.once('data', () => child.stderr!.once('data', () => child.kill('SIGHUP')));
    expect(await ended).toMatchObject({ status: 0, signal: null });
  }, 60_000);

  it('refuses one that nobody has signed, naming those that are open, without making a database', async () => {
    const cwd = folder();
    const unknown = await run(cwd, 'p-nobody');
    expect([unknown.status, unknown.document.error.code]).toEqual([2, 'PERMIT_UNKNOWN']);
    expect(filesIn(cwd)).not.toContain('ohmest.db');
    const { id } = await signed(cwd);
    expect((await run(cwd, 'p-nobody')).document.error.fix).toBe(`Not used yet: ${id}`);
    expect(played(cwd)).toBe(false);
  });
});

describe('a run with probes', () => {
  const withProbe = (code: string) =>
    `${programBench('no')}probes:\n  - {name: sink, argv: ['${process.execPath}', '-e', '${code}'], unit: degC, every: 1 s, high: 85}\n`;

  it('stores what they say, and ends with status 3 when one passes its limit', async () => {
    const cwd = folder({
      'bench.yaml': withProbe('console.log(require("fs").existsSync("takes") ? 90 : 41)'),
    });
    put(cwd, { 'short.yaml': SHORT.replace('[500 Hz, 1 kHz, 2 kHz]', 'R40 from 20 Hz to 20 kHz') });
    const args = ['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'];
    const ended = await ohmest(args, { cwd });
    const { outcome, reason, probes } = JSON.parse(ended.stdout);
    expect([ended.status, outcome]).toEqual([3, 'tripped']);
    expect(reason).toBe('sensor sink: 90 °C, more than the 85 °C that the bench file allows');
    expect(probes).toContainEqual({ at_s: expect.any(Number), probe: 'sink', unit: 'degC', value: 90 });
  }, 60_000);

  it('takes a program that hangs with it when it is interrupted', async () => {
    const hangs = `name: b
${benchWithTwin('ideal-40').split('\n').slice(1).join('\n')}probes:
  - name: stuck
    argv: ['${process.execPath}', '-e', 'process.on("SIGTERM", () => {}); require("fs").writeFileSync("pid", String(process.pid)); setInterval(() => {}, 1000)']
    unit: V
    every: 10 min
    timeout: 10 min
`;
    const cwd = folder({ 'bench.yaml': hangs, 'long.yaml': LONG });
    const { child, ended } = start(['run', 'long.yaml', '--bench', 'bench.yaml', '--unit', 'U'], { cwd });
    const pid = await pidFrom(join(cwd, 'pid'));
    expect(isAlive(pid)).toBe(true);
    child.kill('SIGINT');
    expect((await ended).status).toBe(130);
    await until(() => !isAlive(pid));
  }, 60_000);

  it('of a twin needs no program', async () => {
    const bench = `name: b
interface: {kind: simulated, twin: ideal-40, rate: 48 kHz}
probes: [{name: sink, simulated: heatsink}, {name: load, simulated: load 1}]
channels:
  - output: {full_scale: 3 V rms}
    input: {full_scale: 2 V rms}
    attenuator: {ratio: 25, rating: 150 V peak}
    load: {nominal: 8 ohm, rating: 250 W, heating: 1 K/W, thermal: 5 s}
`;
    const cwd = folder({ 'bench.yaml': bench });
    put(cwd, { 'short.yaml': `${SHORT}  - rest: 1 min\n` });
    const ended = await ohmest(['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'], {
      cwd,
    });
    expect(ended.status).toBe(0);
    const { probes } = JSON.parse(ended.stdout) as {
      probes: { probe: string; at_s: number; value: number }[];
    };
    const of = (name: string) => probes.filter(({ probe }) => probe === name).map(({ value }) => value);
    expect(of('sink').length).toBeGreaterThanOrEqual(7);
    expect(of('load')).toHaveLength(of('sink').length);
    // Ten time constants after 1 W at 1 K/W nothing of the kelvin is left.
    expect(of('load').at(-1)).toBeCloseTo(of('load')[0]!, 2);
  });

  it('of a mains that the twin does not have is refused before anything is played', async () => {
    const bench = `name: b
interface: {kind: simulated, twin: ideal-40, rate: 48 kHz}
probes: [{name: mains, simulated: mains}]
channels:
  - output: {full_scale: 3 V rms}
    input: {full_scale: 2 V rms}
    attenuator: {ratio: 25}
    load: {nominal: 8 ohm}
`;
    const cwd = folder({ 'bench.yaml': bench });
    const ended = await ohmest(['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'], {
      cwd,
    });
    expect([ended.status, JSON.parse(ended.stdout).error.code]).toEqual([2, 'PROBE_DOES_NOT_FIT']);
    expect(filesIn(cwd)).not.toContain('ohmest.db');
  });
});
