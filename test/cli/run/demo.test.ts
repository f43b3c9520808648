import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest } from '../ohmest.js';

describe('demo', () => {
  it('does the whole job and ends by saying what it found and where everything is', async () => {
    const cwd = emptyFolder();
    const ended = await ohmest(['demo', '--out', 'shown'], { cwd });
    expect(ended.status).toBe(0);
    expect(filesIn(join(cwd, 'shown'))).toEqual(['ohmest.db', 'report.html']);
    expect(readFileSync(join(cwd, 'shown', 'report.html'), 'utf8')).toMatch(/<svg[\s\S]*<\/html>/);
    const lines = ended.stdout.trim().split('\n');
    expect(ended.stdout).toMatch(/W at 0\.1 %, .* at\s1 %\sTHD\+N/s);
    expect(lines.length).toBeLessThan(12);
    const [, quoted] = /It ends like this:\n\n((?: {4}.*\n)+)/.exec(readFileSync('README.md', 'utf8'))!;
    expect(ended.stdout).toContain(quoted!.replace(/^ {4}/gm, ''));
    const database = /^database +(.+)$/m.exec(ended.stdout)![1]!;
    expect(database).toBe(join('shown', 'ohmest.db'));
    expect(ended.stdout).toContain(`npx ohmest show 1 --db ${database}\n`);
    expect(/^report +(.+)$/m.exec(ended.stdout)![1]).toBe(join('shown', 'report.html'));
    expect(ended.stderr).toMatch(/left .* THD\+N/);
    const shown = await ohmest(['show', '1', '--db', database, '--json'], { cwd });
    expect(JSON.parse(shown.stdout).outcome).toBe('completed');
  });

  it('for a folder that cannot be made says so in a sentence', async () => {
    const cwd = emptyFolder();
    writeFileSync(join(cwd, 'taken'), 'a file');
    const ended = await ohmest(['demo', '--out', join('taken', 'shown')], { cwd });
    expect(ended.status).toBe(2);
    expect(ended.stderr).toMatch(/^ohmest: taken\/shown: a file stands where a folder should be.*\.\n$/);
  });

  it.each([
    // Node 20 makes folders under /proc for ever, unless they are made one by one.
    ['/proc/missing/x', 'the folder it should go into does not exist'],
    ['/proc/missing', 'the folder it should go into does not exist'],
    [`${'n'.repeat(300)}/x`, 'the name is too long'],
  ])(
    'ends at once when a folder cannot be made in %s',
    async (out, said) => {
      const ended = await ohmest(['demo', '--out', out]);
      expect([ended.status, ended.stdout]).toEqual([2, '']);
      expect(ended.stderr).toMatch(new RegExp(`^ohmest: .*: ${said}\\..*\n$`));
    },
    10_000,
  );

  it('makes every folder on the way, as many as it takes', async () => {
    const cwd = emptyFolder();
    const ended = await ohmest(['demo', '--out', join('a', 'b', 'c')], { cwd });
    expect(ended.status).toBe(0);
    expect(filesIn(join(cwd, 'a', 'b', 'c'))).toEqual(['ohmest.db', 'report.html']);
  });
}, 240_000);
