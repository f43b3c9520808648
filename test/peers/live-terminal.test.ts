import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { formatQuantity } from '../../src/units/format.js';
import { columnsOf } from '../../src/view/terminal/fit.js';
import { emptyFolder, ohmest } from '../cli/ohmest.js';
import { Screen } from '../cli/screen.js';

const DRIVER = fileURLToPath(new URL('in-terminal.py', import.meta.url));
const MAIN = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
/** The end of what is written for one picture. */
const PICTURE_END = '\u001b[?7h\u001b[J';

interface Session {
  readonly status: number;
  /** What was written, picture by picture; the last of them is what came after. */
  readonly pictures: readonly string[];
}

interface Driven {
  readonly cwd: string;
  readonly columns: number;
  readonly rows: number;
  /** A key that is pressed once, when this text has come by. */
  readonly press?: { readonly key: string; readonly after: string };
}

/** Runs ohmest in a pseudo-terminal. */
function inTerminal(args: readonly string[], { cwd, columns, rows, press }: Driven): Promise<Session> {
  const { CI: _ci, NO_COLOR: _colour, ...env } = process.env;
  const given = [String(columns), String(rows), press?.after ?? '', press?.key ?? ''];
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
      const args = [
        'run',
        'quick-look',
        '--bench',
        'stiff-pair',
        '--unit',
        'Invented \u65e5\u672c',
        '--db',
        'a.db',
      ];
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
    const press = { key: '\u0003', after: 'THD+N against power' };
    const { status, pictures } = await inTerminal(['demo', '--out', 'd'], {
      cwd,
      columns: 80,
      rows: 24,
      press,
    });
    expect(status).toBe(130);
    const screen = new Screen(80, 24);
    for (const picture of pictures) screen.write(picture);
    expect((await screen.lines()).filter((line) => /^Ends at once on|% done/.test(line))).toEqual([]);
    expect(screen.wraps).toBe(true);
  });
});
