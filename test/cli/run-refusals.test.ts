import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest, put } from './ohmest.js';
import { benchWithTwin, device, programBench, SHORT } from './stand.js';

const BAD_SEQUENCE = `name: Bad
load: 8 ohm
driven: [9]
steps:
  - climb: {frequency: 30 kHz, colour: red}
  - sweep: {level: 1 GW, frequencies: [1 kHz]}
`;
const BAD_BENCH = `name: Bad
interface: {kind: command, argv: [touch, played, '{stimulus}', '{response}'], rate: 48}
channels:
  - output: {full_scale: 1 V}
    input: {full_scale: 1 V peak}
    attenuator: {ratio: -50}
    load: {nominal: 8 ohm, rating: .nan W}
`;

/** A folder with a good sequence, a good bench that tells when it plays, and bad ones. */
function folder(): string {
  const cwd = emptyFolder();
  put(cwd, {
    'good.yaml': SHORT,
    'bad.yaml': BAD_SEQUENCE,
    'bench.yaml': programBench('no'),
    'bad-bench.yaml': BAD_BENCH,
    'no-twin.yaml': benchWithTwin('missing'),
    'bad-twin.yaml': benchWithTwin('crooked'),
    'crooked.yaml': 'twin: Crooked\ngain: 26 V\nsupply: {regulated: -40 V}\n',
    'device.mjs': device(),
  });
  return cwd;
}

const run = (sequence: string, bench: string, unit = 'U') => [
  ...['run', sequence, '--bench', bench, '--unit', unit, '--db', 'a.db'],
];

describe('a run that is refused', () => {
  it.each([
    [
      'a bad sequence',
      run('bad.yaml', 'bench.yaml'),
      [/bad\.yaml:3:\d+/, /bad\.yaml:5:\d+/, /bad\.yaml:6:\d+/],
    ],
    [
      'a bad bench',
      run('good.yaml', 'bad-bench.yaml'),
      [/bad-bench\.yaml:2:\d+/, /bad-bench\.yaml:4:\d+/, /bad-bench\.yaml:6:\d+/, /bad-bench\.yaml:7:\d+/],
    ],
    ['both', run('bad.yaml', 'bad-bench.yaml'), [/bad\.yaml:5:\d+/, /bad-bench\.yaml:2:\d+/]],
    ['a unit without a label', run('good.yaml', 'bench.yaml', ' '), [/unit label: it is empty/]],
    [
      'no label and a bad bench',
      run('good.yaml', 'bad-bench.yaml', ''),
      [/unit label/, /bad-bench\.yaml:2:\d+/],
    ],
    ['a sequence that is not there', run('none.yaml', 'bench.yaml'), [/none\.yaml: there is no such file/]],
    ['a bench that is not there', run('good.yaml', 'none.yaml'), [/none\.yaml: there is no such file/]],
    ['a twin that is not there', run('good.yaml', 'no-twin.yaml'), [/missing/]],
    ['a bad twin', run('good.yaml', 'bad-twin.yaml'), [/crooked\.yaml:2:\d+/, /crooked\.yaml:3:\d+/]],
    [
      'a report in a folder that is not there',
      [...run('good.yaml', 'bench.yaml'), '--report', 'none/page.html'],
      [/none\/page\.html: the folder it should go into does not exist/],
    ],
    ['a report that is a folder', [...run('good.yaml', 'bench.yaml'), '--report', '.'], [/this is a folder/]],
    ['no unit', ['run', 'good.yaml', '--bench', 'bench.yaml'], [/--unit/]],
  ])('for %s says all that is wrong, ends with status 2, plays and writes nothing', async (_, args, said) => {
    const cwd = folder();
    const before = filesIn(cwd);
    const ended = await ohmest(args, { cwd });
    expect(ended.status).toBe(2);
    expect(ended.stdout).toBe('');
    for (const part of said) expect(ended.stderr).toMatch(part);
    expect(ended.stderr).not.toMatch(/\bat .*\.js:\d+/);
    expect(filesIn(cwd)).toEqual(before);
  });

  it('under --json puts the same on stdout, fault by fault with line and column', async () => {
    const ended = await ohmest([...run('bad.yaml', 'bad-bench.yaml'), '--json'], { cwd: folder() });
    const { error } = JSON.parse(ended.stdout);
    expect(error.code).toBe('SEVERAL_FAULTS');
    expect(error.causes.map((cause: { file: string }) => cause.file)).toEqual(['bad-bench.yaml', 'bad.yaml']);
    expect(error.causes[1].faults[0]).toMatchObject({ line: expect.any(Number), column: expect.any(Number) });
  });

  it.each([
    ['text', 'is no database '.repeat(1000)],
    ['nothing but zeros', '\u0000'.repeat(8192)],
  ])('for a database file of %s leaves that file as it was', async (_, text) => {
    const cwd = folder();
    writeFileSync(join(cwd, 'a.db'), text);
    const before = filesIn(cwd);
    const ended = await ohmest(run('good.yaml', 'bench.yaml'), { cwd });
    expect([ended.status, ended.stdout]).toEqual([2, '']);
    expect(ended.stderr).toMatch(/a\.db/);
    expect(readFileSync(join(cwd, 'a.db'), 'utf8')).toBe(text);
    expect(filesIn(cwd)).toEqual(before);
  });

  it('for a database in a folder that is not there says so', async () => {
    const cwd = folder();
    const ended = await ohmest([...run('good.yaml', 'bench.yaml'), '--db', 'none/a.db'], { cwd });
    expect(ended.status).toBe(2);
    expect(ended.stderr).toMatch(/none/);
    expect(filesIn(cwd)).not.toContain('takes');
  });

  it('for captures that cannot be kept is refused before anything is asked', async () => {
    const cwd = folder();
    put(cwd, { 'a.db.captures': 'a file in the place of a folder' });
    const before = filesIn(cwd);
    const ended = await ohmest([...run('good.yaml', 'bench.yaml'), '--captures'], { cwd });
    expect([ended.status, ended.stdout]).toEqual([2, '']);
    expect(ended.stderr).toMatch(/^ohmest: \S*a\.db: the folder for captures, \S+, cannot be written.*\n$/);
    expect(filesIn(cwd)).toEqual(before);
  });
});
