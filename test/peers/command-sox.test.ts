import { describe, expect, it } from 'vitest';
import { CommandBench } from '../../src/bench/command/command-bench.js';
import { type CommandSetup, commandSetup } from '../bench/command/command-setup.js';
import { benchContract } from '../bench/contract.js';
import type { BenchContractOptions } from '../bench/stand.js';
import { TestTone } from '../bench/test-tone.js';

const S = '{stimulus}';
const R = '{response}';

const contract = (name: string, setup: CommandSetup, options: BenchContractOptions) =>
  benchContract(name, async () => ({ bench: new CommandBench(commandSetup(setup)) }), options);

contract(
  'sox as an attenuator into 32-bit float',
  { argv: ['sox', S, '-e', 'float', '-b', '32', R, 'vol', '0.5'] },
  { gain: 0.5, gainTolerance: 1e-6, frequency_ppm: 1e-3, idleRatio: 1e-9, breakRatio: 5e-4 },
);

/**
 * A recursion of one pole p = exp(-2 pi fc / fs) has |H(f)| = (1 - p) / |1 - p exp(-j 2 pi f / fs)|
 * (closed form). The tone of the contract is rate / round(rate / 1000), here 1 kHz.
 */
function onePole(corner_Hz: number, rate_Hz: number): number {
  const p = Math.exp((-2 * Math.PI * corner_Hz) / rate_Hz);
  const w = (2 * Math.PI * 1000) / rate_Hz;
  return (1 - p) / Math.hypot(1 - p * Math.cos(w), p * Math.sin(w));
}

contract(
  'sox as a low-pass filter of five channels into dithered 24-bit integers',
  {
    argv: ['sox', S, '-e', 'signed', '-b', '24', R, 'lowpass', '-1', '1000', 'dither'],
    channels: 5,
    rate_Hz: 96_000,
  },
  {
    gain: onePole(1000, 96_000),
    flat: false,
    // At its corner an envelope comes late by tau / |1 + j|, 0.1125 ms; the edges of a burst, raised cosines of 1 ms, rise by
    // pi / 2 a millisecond at most: 0.1767 of the peak (first order).
    misfitRatio: 0.18,
    gainTolerance: 1e-5,
    idleRatio: 1e-5,
    frequency_ppm: 0.1,
    breakRatio: 5e-4,
  },
);

describe('sox that is asked for something it cannot do', () => {
  const tone = new TestTone({ channels: 1, driven: [1], period: 48, level: () => 0.1, horizonFrames: 4096 });

  it('is a fault that hands on what sox said', async () => {
    const bench = new CommandBench(commandSetup({ argv: ['sox', S, R, 'vol', 'plenty'], channels: 1 }));
    await bench.open();
    await expect(bench.play(tone).next()).rejects.toMatchObject({
      code: 'COMMAND_FAILED',
      message: expect.stringContaining('sox FAIL vol'),
    });
    await bench.close();
  });

  it.each([
    { name: 'another rate', effect: ['rate', '44100'], code: 'RESPONSE_WRONG_RATE' },
    { name: 'another number of channels', effect: ['channels', '2'], code: 'RESPONSE_WRONG_CHANNELS' },
    { name: 'a shorter response', effect: ['trim', '0', '1000s'], code: 'RESPONSE_TOO_SHORT' },
    { name: 'a response without samples', effect: ['trim', '1000000s'], code: 'RESPONSE_EMPTY' },
  ])('$name is a fault', async ({ effect, code }) => {
    const bench = new CommandBench(commandSetup({ argv: ['sox', S, R, ...effect], channels: 1 }));
    await bench.open();
    await expect(bench.play(tone).next()).rejects.toMatchObject({ code });
    await bench.close();
  });
});
