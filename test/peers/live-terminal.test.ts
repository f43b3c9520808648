import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { formatQuantity } from '../../src/units/format.js';
import { columnsOf } from '../../src/view/terminal/fit.js';
import { emptyFolder, ohmest, put } from '../cli/ohmest.js';
import { Screen } from '../cli/screen.js';
import { benchWithTwin, device, programBench, SHORT } from '../cli/stand.js';

const DRIVER = fileURLToPath(new URL('in-terminal.py', import.meta.url));
const MAIN = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
/** The end of what is written for one picture. */
const PICTURE_END = '\u001b[?7h\u001b[J';

/** Two channels of a unit that takes little time to compute. */
const PAIR = benchWithTwin('ideal-40').replace(/ {2}- output[\s\S]*/, (channel) => channel.repeat(2));

/** More than are asked, so that none is left without an answer. */
const PROMPTS = 60;

interface Session {
  readonly status: number;
  /** What was written, picture by picture; the last of them is what came after. */
  readonly pictures: readonly string[];
}

interface Driven {
  readonly cwd: string;
  readonly columns: number;
  readonly rows: number;
  /** Keys that are pressed, one after the other, each when its text has come by. */
  readonly keys?: readonly (readonly [text: string, keys: string])[];
}

/** Runs ohmest in a pseudo-terminal. */
function inTerminal(args: readonly string[], { cwd, columns, rows, keys = [] }: Driven): Promise<Session> {
  const { CI: _ci, NO_COLOR: _colour, ...env } = process.env;
  const given = [String(columns), String(rows), JSON.stringify(keys)];
  return new Promise((resolve) => {
    execFile(
      'python3',
      [DRIVER, ...given, process.execPath, MAIN, ...args],
      { cwd, env: { ...env, TERM: 'xterm-256color' }, maxBuffer: 2 ** 28 },
      (error, stdout) =>
        resolve({
          status: error ? Number(error.code) : 0,
          pictures: stdout.split(PICTURE_END).map((text) => `${text}${PICTURE_END}`),
        }),
    );
  });
}

/** Figures of the rows of channels on the screen: power and THD+N as printed. */
const figuresOn = (lines: readonly string[]): string[] =>
  lines.flatMap((line) => {
    const row = /^ +(\d+) +(\S+ \S*W) +\S+ \S*V +(\S+ %)/.exec(line);
    return row ? [row.slice(1).join(', ')] : [];
  });

async function readingsIn(cwd: string, db: string): Promise<Set<string>> {
  const { stdout } = await ohmest(['show', '1', '--db', db, '--json'], { cwd });
  const { readings } = JSON.parse(stdout);
  return new Set(
    readings.map(({ channel, power_W, thdn_percent }: Record<string, number>) =>
      [channel, formatQuantity(power_W!, 'W'), formatQuantity(thdn_percent!, '%')].join(', '),
    ),
  );
}

describe('a run in a pseudo-terminal', () => {
  it.each([
    [80, 24],
    [120, 40],
  ])(
    'of %i x %i shows readings of the database while it goes and is gone afterwards',
    async (columns, rows) => {
      const cwd = emptyFolder();
      put(cwd, { 'pair.yaml': PAIR });
      const unit = 'Invented \u65e5\u672c';
      const args = ['run', 'quick-look', '--bench', 'pair.yaml', '--unit', unit, '--db', 'a.db'];
      const { status, pictures } = await inTerminal(args, { cwd, columns, rows });
      expect(status).toBe(0);
      const screen = new Screen(columns, rows);
      const stored = await readingsIn(cwd, 'a.db');
      const shown = new Set<string>();
      for (const [i, picture] of pictures.entries()) {
        screen.write(picture);
        if (i === pictures.length - 1) break;
        const lines = await screen.visible();
        expect(lines.filter((line) => line.startsWith('Run 1: Invented'))).toHaveLength(1);
        expect(Math.max(...lines.map(columnsOf))).toBeLessThanOrEqual(columns);
        for (const figures of figuresOn(lines)) shown.add(figures);
      }
      expect(shown.size).toBeGreaterThan(2);
      expect([...shown].filter((figures) => !stored.has(figures))).toEqual([]);
      const left = await screen.lines();
      expect(left.filter((line) => /^Ends at once on|% done|begins$/.test(line))).toEqual([]);
      expect(left.some((line) => line.startsWith('THD+N against power'))).toBe(true);
      expect(screen.bytes).not.toContain('[?25l');
      expect(screen.wraps).toBe(true);
    },
  );

  it('that is broken off by Ctrl-C leaves a clean terminal and says so', async () => {
    const cwd = emptyFolder();
    const keys = [['THD+N against power', '\u0003']] as const;
    const { status, pictures } = await inTerminal(['demo', '--out', 'd'], {
      cwd,
      columns: 80,
      rows: 24,
      keys,
    });
    expect(status).toBe(130);
    const screen = new Screen(80, 24);
    for (const picture of pictures) screen.write(picture);
    expect((await screen.lines()).filter((line) => /^Ends at once on|% done/.test(line))).toEqual([]);
    expect(screen.wraps).toBe(true);
  });

  it.each([
    ['the name', [['Your name', '\u0004']]],
    [
      'a question',
      [
        ['Your name', 'Ada\r'],
        ['(y/N)', '\u0004'],
      ],
    ],
  ] as const)('that is left by Ctrl-D at %s has not succeeded', async (_at, keys) => {
    const cwd = emptyFolder();
    const args = ['permit', 'quick-look', '--bench', 'stiff-pair'];
    const { status, pictures } = await inTerminal(args, { cwd, columns: 80, rows: 24, keys });
    expect(status).toBe(130);
    expect(pictures.join('')).toContain('the checklist was interrupted');
  });

  it('gives way to the questions of a bench with real power and comes back after each', async () => {
    const cwd = emptyFolder();
    const asks = SHORT.replace(
      'steps:',
      "steps:\n  - sweep: {id: one, level: 1 W, frequencies: [1 kHz]}\n  - ask: 'Is it still quiet?'",
    );
    put(cwd, { 'asks.yaml': asks, 'bench.yaml': programBench('yes'), 'device.mjs': device() });
    // A prompt is drawn again while it is answered: the next answer must wait until this one has been taken, or it is
    // typed into the picture, which the terminal then moves.
    const prompts = Array.from({ length: PROMPTS }, () => [
      ['(y/N)', 'y\r'] as const,
      ['Yes', ''] as const,
    ]).flat();
    const keys = [['Your name', 'Ada\r'], ...prompts] as const;
    const args = ['run', 'asks.yaml', '--bench', 'bench.yaml', '--unit', 'U'];
    const { status, pictures } = await inTerminal(args, { cwd, columns: 80, rows: 24, keys });
    const screen = new Screen(80, 24);
    for (const picture of pictures) screen.write(picture);
    const lines = await screen.lines();
    expect([status, lines.filter((line) => /still quiet\?(?!:)/.test(line))]).toEqual([
      0,
      [expect.stringMatching(/quiet\? Yes$/i)],
    ]);
    const written = pictures.join('');
    const asked = written.search(/still quiet\?.{0,20}\(y\/N\)/);
    const [before, after] = [written.slice(0, asked), written.slice(asked)];
    expect(before).toContain('Run 1: U');
    // At once with the point that was played before the question.
    expect(after).toContain('THD+N against frequency');
    expect(lines.filter((line) => /^Ends at once on|% done|^Run 1: U +Program/.test(line))).toEqual([]);
  });
});
