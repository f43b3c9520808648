import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { encodeWav } from '../../src/signal/encode-wav.js';
import { emptyFolder, ohmest, put } from './ohmest.js';
import { benchWithTwin, idealTwinWith, SHORT } from './stand.js';

/** What a label may hold, and what a file's name may hold besides. */
const LABEL = 'red\u202e\u2066\u200b\ufeff box';
const NAME = `a\u001b[31m\u009b2J\u007f${LABEL}\nohmest: all is well`;
const NAMES = { bench: `${NAME}.yaml`, sequence: `${NAME}-s.yaml`, db: `${NAME}.db`, wav: `${NAME}.wav` };

/** Nothing of it may reach a terminal, a page or a table as it stands. */
const HIDDEN = /(?![\n\t])\p{Cc}|[\u200b\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]/u;
const FORGED = /^ohmest: all is well/m;

const bench = ['--bench', NAMES.bench];
const db = ['--db', NAMES.db];
const yes = 'yes\n'.repeat(40);

/** Every command, with a hostile name in each place that takes one, and once more with names of nothing. */
const LINES: readonly (readonly string[])[] = [
  ['run', NAMES.sequence, ...bench, ...db, '--unit', LABEL, '--report', `${NAME}.html`, '--captures'],
  ['run', NAMES.sequence, ...bench, ...db, '--unit', LABEL, '--live', '--json'],
  ['run', NAMES.sequence, ...bench, ...db, '--unit', NAME],
  ['demo', '--out', NAMES.db],
  ['devices', NAME],
  ['bench', NAMES.bench],
  ['bench', NAMES.bench, '--for', NAME],
  ['bench', `${NAME}.none`, '--json'],
  ['plan', NAMES.sequence, ...bench],
  ['plan', NAMES.bench, '--bench', NAMES.sequence],
  ['plan', NAMES.sequence, ...bench, '--claim', NAME, '--json'],
  ['resume', '1', ...bench, ...db],
  ['resume', NAME, ...db],
  ['permit', NAMES.sequence, ...bench, ...db],
  ['permits', ...db],
  ['permits', ...db, '--json'],
  ['permits', '--db', `${NAME}.none`],
  ['calibrate', 'output', ...bench, '--by', NAME, '--into', NAME],
  ['calibrate', NAME, ...bench],
  ['claim', NAME],
  ['claim', '100 W, 8 ohm', '--as', NAME],
  ['analyse', NAMES.wav],
  ['analyse', NAMES.wav, '--json'],
  ['analyse', NAMES.bench],
  ['analyse', NAMES.wav, '--band', NAME],
  ['runs', ...db],
  ['runs', ...db, '--unit', NAME],
  ['runs', ...db, '--json'],
  ['show', '1', ...db],
  ['show', '1', ...db, '--details'],
  ['show', '1', ...db, '--budget'],
  ['show', '1', ...db, '--remeasure'],
  ['show', '1', ...db, '--json', '--claim', NAME],
  ['show', '1', ...db, '--json'],
  ['compare', '1', '2', ...db],
  ['compare', '1', '2', ...db, '--json'],
  ['report', '1', ...db, '-o', `${NAME}.html`],
  ['report', '1', '2', ...db, '-o', `${NAME}-2.html`],
  ['report', '1', ...db, '-o', NAMES.db],
  ['browse', ...db, '--port', NAME],
  ['browse', '--db', `${NAME}.none`],
  ['export', '1', ...db, '--format', NAME],
  ...['csv', 'results-csv', 'columns', 'json'].map((format) => ['export', '1', ...db, '--format', format]),
  ['bundle', '1', ...db, '-o', `${NAME}.ohmest`],
  ['bundle', '1', ...db, '-o', NAMES.db, '--json'],
  ['import', `${NAME}.ohmest`, ...db],
  ['import', NAMES.bench, ...db],
  ['runs', `--${NAME}`],
  [NAME],
];

describe('what a name or a label hides', () => {
  const cwd = emptyFolder();

  beforeAll(() => {
    put(cwd, {
      'twin.yaml': idealTwinWith(`# ${LABEL}`),
      [NAMES.bench]: benchWithTwin('twin.yaml').replace(/^name: .*/, `name: "${LABEL}"\nabout: "${LABEL}"`),
      [NAMES.sequence]: SHORT.replace(/^name: .*/, `name: "${LABEL}"\nabout: "${LABEL}"`),
      [NAMES.wav]: encodeWav({
        rate_Hz: 48_000,
        channels: [Float64Array.from({ length: 48_000 }, (_, i) => 0.5 * Math.sin((2 * Math.PI * i) / 48))],
        format: 'float32',
      }),
    });
  });

  it('is shown by every command and on every page, and acts nowhere', async () => {
    const { stdout: help } = await ohmest(['--help']);
    const commands = [...help.matchAll(/^ {2}(\w+) .*/gm)]
      .map(([, name]) => name)
      .filter((name) => name !== 'help');
    expect(commands.length).toBeGreaterThan(15);
    expect(commands.filter((name) => !LINES.some(([command]) => command === name))).toEqual([]);
    const shown = new Set<string>();
    for (const line of LINES) {
      const { stdout, stderr } = await ohmest(line, { cwd, input: yes });
      for (const text of [stdout, stderr]) {
        const plain = text.replaceAll('\r\n', '\n');
        expect(HIDDEN.exec(plain)?.[0], `${JSON.stringify(line)}:\n${JSON.stringify(plain)}`).toBeUndefined();
        expect(plain, JSON.stringify(line)).not.toMatch(FORGED);
        if (/\\u(?:202e|001b)/.test(plain)) shown.add(line[0]!);
      }
      if (line.includes('--json') && stdout !== '') expect(() => JSON.parse(stdout)).not.toThrow();
    }
    // Else it would have passed by leaving everything out.
    for (const command of [
      'run',
      'analyse',
      'permits',
      'runs',
      'show',
      'report',
      'export',
      'bundle',
      'import',
    ])
      expect(shown).toContain(command);
    const unit = JSON.parse((await ohmest(['runs', ...db, '--json'], { cwd })).stdout).runs[0].unit;
    expect(unit).toBe(LABEL);
    for (const page of [`${NAME}.html`, `${NAME}-2.html`]) {
      const text = readFileSync(join(cwd, page), 'utf8');
      expect(text).toContain('\\u202e');
      expect(HIDDEN.exec(text)?.[0]).toBeUndefined();
    }
  });
});
