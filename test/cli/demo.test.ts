import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest } from './ohmest.js';

describe('demo', () => {
  it('does the whole job and ends by saying what it found and where everything is', async () => {
    const cwd = emptyFolder();
    const ended = await ohmest(['demo', '--out', 'shown'], { cwd });
    expect(ended.status).toBe(0);
    expect(filesIn(join(cwd, 'shown'))).toEqual(['ohmest.db', 'report.html']);
    expect(readFileSync(join(cwd, 'shown', 'report.html'), 'utf8')).toMatch(/<svg[\s\S]*<\/html>/);
    const lines = ended.stdout.trim().split('\n');
    expect(lines[0]).toMatch(/W at 0\.1 % and .* W at 1 % THD\+N/);
    expect(lines.length).toBeLessThan(12);
    const database = /^database +(.+)$/m.exec(ended.stdout)![1]!;
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
}, 60_000);
