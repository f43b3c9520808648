import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PROJECT } from '../../docs/command-blocks.js';
import { start } from '../ohmest.js';

/** A line of progress: something plays. */
const PLAYS = /^ *\d+ % /m;
/** Safety lines are as many as safety needs. */
const SAFETY = /^(! | {2})/;

/** What `ohmest run` prints before it plays, without safety lines; the run is then stopped. */
async function linesBefore(sequence: string, bench: string, ...more: readonly string[]): Promise<string[]> {
  const { child, ended } = start(['run', sequence, '--bench', bench, '--unit', 'U', ...more], {
    env: { NO_COLOR: '1' },
  });
  let said = '';
  child.stderr!.on('data', (text: string) => {
    said += text;
    if (PLAYS.test(said)) child.kill('SIGINT');
  });
  const { stderr } = await ended;
  const [before] = stderr.split(PLAYS);
  return before!.split('\n').filter((line) => line !== '' && !SAFETY.test(line));
}

const RUNS: readonly (readonly [sequence: string, bench: string, ...more: string[]])[] = [
  ['quick-look', 'stiff-pair'],
  ['rated-power', 'stiff-pair'],
  ['repair-check', 'stiff-pair'],
  ['all-driven', 'stiff-pair'],
  ['full-band-8-ohm', 'stiff-pair'],
  ['full-band', 'installed-eight'],
  ['matrix', 'installed-eight'],
  ['us-trade-rule', 'stiff-pair', '--claim', '80 W'],
  ['us-trade-rule-short', 'stiff-pair', '--claim', '80 W'],
];

describe('run on a calibrated bench', { timeout: 120_000 }, () => {
  it('is tried with every shipped sequence', () => {
    const shipped = readdirSync(`${PROJECT}sequences`).filter((name) => name.endsWith('.yaml'));
    expect(RUNS.map(([sequence]) => `${sequence}.yaml`).sort()).toEqual(shipped.sort());
  });

  it.each(RUNS)(
    '%s on %s prints at most ten lines before it plays, no hash and no unanswered question',
    async (sequence, bench, ...more) => {
      const lines = await linesBefore(sequence, bench, ...more);
      expect(lines.length, lines.join('\n')).toBeLessThanOrEqual(10);
      expect(lines.join('\n')).not.toMatch(/SHA-256|Done\?|nothing to do/);
      expect(lines.join('\n')).toMatch(/wiring check passed/);
    },
  );

  it('counts what is assumed in one line, and lists it with --verbose', async () => {
    const counted = await linesBefore('quick-look', 'example-command');
    const [, number] =
      /^(\d+) values are assumed, not stated in the bench file; no power has an uncertainty/m.exec(
        counted.join('\n'),
      )!;
    const listed = await linesBefore('quick-look', 'example-command', '--verbose');
    expect(listed.length - counted.length).toBe(Number(number) - 1);
    expect(listed.join('\n')).toContain('the uncertainty of the attenuator is not stated');
  });
});
