import { describe, expect, it } from 'vitest';
import { readOnTheWay } from '../../../src/cli/run/cautions.js';
import { NobodyToAsk } from '../../../src/cli/terminal/ask.js';

const question = { about: 'sequence', text: 'DC at the output of channel 1 by meter, in mV:' } as const;

/** What is read where these lines are typed, and what the person was told. */
async function typed(...lines: string[]) {
  const told: string[] = [];
  const left = [...lines];
  const operator = {
    confirm: async () => false,
    text: async (text: string) => {
      const line = left.shift();
      if (line === undefined) throw new NobodyToAsk(text);
      return line;
    },
    close: () => undefined,
  };
  const terminal = { err: (line: string) => void told.push(line) } as never;
  const at = { terminal, operator, signal: new AbortController().signal };
  return { read: await readOnTheWay(at, question, 'V'), told };
}

describe('a meter reading that is typed in on the way', () => {
  it('is in millivolts where no unit stands beside it', async () => {
    expect((await typed(' 12 ')).read).toBeCloseTo(0.012, 12);
    expect((await typed('-3.5 mV')).read).toBeCloseTo(-0.0035, 12);
    expect((await typed('1.2 V')).read).toBe(1.2);
  });

  it('is none where the line is empty or nobody is left', async () => {
    expect((await typed('')).read).toBeNull();
    expect((await typed()).read).toBeNull();
  });

  it('is asked for again where it cannot be read', async () => {
    const { read, told } = await typed('about ten', '10');
    expect(read).toBeCloseTo(0.01, 12);
    expect(told).toHaveLength(1);
    expect(told[0]).toContain('about ten');
  });
});
