import { describe, expect, it } from 'vitest';
import { ohmest } from './ohmest.js';

const COMMANDS = [
  'demo',
  'devices',
  'bench',
  'plan',
  'run',
  'resume',
  'permit',
  'permits',
  'claim',
  'analyse',
  'runs',
  'show',
  'compare',
  'report',
  'browse',
  'export',
  'bundle',
  'import',
];

describe('usage', () => {
  it('--help lists every command', async () => {
    const { status, stdout } = await ohmest(['--help']);
    expect(status).toBe(0);
    for (const command of COMMANDS) expect(stdout).toMatch(new RegExp(`^  ${command} `, 'm'));
  });

  it.each(COMMANDS)('%s --help explains it on stdout and plays nothing', async (command) => {
    const { status, stdout, stderr } = await ohmest([command, '--help']);
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(new RegExp(`^Usage: ohmest ${command} `));
    expect(stdout).not.toContain('\u001b');
  });

  it.each([
    ['plan', ['--bench']],
    ['run', ['--bench', '--unit']],
    ['permit', ['--bench']],
    ['calibrate', ['--bench']],
    ['report', ['--output']],
    ['export', ['--format']],
    ['bundle', ['--output']],
  ])('%s --help marks the options that it cannot do without', async (command, needed) => {
    const { stdout } = await ohmest([command, '--help']);
    const marked = stdout
      .split(/\n(?= {2}-)/)
      .filter((option) => /\(required\)\s*$/.test(option))
      .map((option) => /--\w+/.exec(option)?.[0]);
    expect(marked).toEqual(needed);
  });

  it('--version gives the version', async () => {
    expect((await ohmest(['--version'])).stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
  });

  it.each([
    [['climb'], /unknown command 'climb'/],
    [['rnu'], /Did you mean run/],
    [['runs', '--colour'], /unknown option '--colour'/],
    [['show'], /missing required argument 'run'/],
    [['plan', 'quick-look'], /required option '--bench <bench>'/],
    [['show', '1', '2'], /too many arguments/],
    [[], /Usage: ohmest/],
  ])('%j ends with status 2 and says why on stderr', async (args, said) => {
    const { status, stdout, stderr } = await ohmest(args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(said);
  });

  it('a mistake under --json is one JSON document on stdout as well', async () => {
    const { status, stdout, stderr } = await ohmest(['runs', '--json', '--colour']);
    expect(status).toBe(2);
    expect(JSON.parse(stdout)).toEqual({ error: { code: 'USAGE', what: "unknown option '--colour'" } });
    expect(stderr).toContain("unknown option '--colour'");
  });
});
