import { spawnSync } from 'node:child_process';
import { closeSync, openSync } from 'node:fs';
import { afterEach, describe, expect, it } from 'vitest';
import { processTerminal } from '../../../src/cli/terminal/terminal.js';
import { emptyFolder, MAIN } from '../ohmest.js';

const failing = (code: string) => Object.assign(new Error(`write ${code}`), { code });

describe('a terminal', () => {
  const before = [process.stdout, process.stderr].map(
    (stream) => [stream, stream.listeners('error')] as const,
  );
  afterEach(() => {
    for (const [stream, listeners] of before)
      for (const listener of stream.listeners('error'))
        if (!listeners.includes(listener)) stream.off('error', listener as () => void);
  });

  it.each(['EPIPE', 'EIO'])(
    'that is gone (%s) ends nothing by itself: a run has to ramp down and be closed',
    (code) => {
      processTerminal();
      expect(() => process.stderr.emit('error', failing(code))).not.toThrow();
      expect(() => process.stdout.emit('error', failing(code))).not.toThrow();
    },
  );

  it('that cannot take talk costs the talk only', () => {
    processTerminal();
    expect(() => process.stderr.emit('error', failing('ENOSPC'))).not.toThrow();
  });
});

describe('a full disk behind', () => {
  const CLAIM = ['claim', '100 W, 8 ohm'];

  it('standard output is told of in one line and is no success', () => {
    const full = openSync('/dev/full', 'w');
    const { status, stderr } = spawnSync(process.execPath, [MAIN, ...CLAIM], {
      stdio: ['ignore', full, 'pipe'],
      encoding: 'utf8',
    });
    closeSync(full);
    expect([status, stderr]).toEqual([
      1,
      'ohmest: standard output cannot be written: the disk is full. What was written of the results is not all of them.\n',
    ]);
  });

  it('standard error costs a run nothing', () => {
    const full = openSync('/dev/full', 'w');
    const cwd = emptyFolder();
    const args = ['run', 'quick-look', '--bench', 'ideal-40', '--unit', 'U', '--json'];
    const { status, stdout } = spawnSync(process.execPath, [MAIN, ...args], {
      cwd,
      stdio: ['ignore', 'pipe', full],
      encoding: 'utf8',
    });
    closeSync(full);
    expect([status, JSON.parse(stdout).outcome]).toEqual([0, 'completed']);
  });
});
