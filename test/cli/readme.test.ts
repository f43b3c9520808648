import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ohmest } from './ohmest.js';

const README = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');
/** Every command line of the README, without its comment. */
const LINES = [...README.matchAll(/npx ohmest ([^\n`#]+)/g)].map(([, line]) => line!.trim());

describe('the README', () => {
  it('shows command lines', () => expect(LINES.length).toBeGreaterThan(5));

  it.each([...new Set(LINES)])('ohmest %s: the command and its options exist', async (line) => {
    const [command, ...rest] = line.split(/\s+/);
    const { status, stdout } = await ohmest([command!, '--help']);
    expect(status).toBe(0);
    expect(stdout).toContain(`Usage: ohmest ${command} `);
    for (const option of rest.filter((word) => /^--?[a-z]/.test(word)))
      expect(stdout).toMatch(new RegExp(`(^|[ ,])${option}[ ,]`, 'm'));
  });
});
