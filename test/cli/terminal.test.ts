import { afterEach, describe, expect, it } from 'vitest';
import { processTerminal } from '../../src/cli/terminal.js';

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

  it('that cannot be written to for another reason says so', () => {
    processTerminal();
    expect(() => process.stdout.emit('error', failing('ENOSPC'))).toThrow('write ENOSPC');
  });
});
