import { describe, expect, it } from 'vitest';
import type { Reading } from '../../../src/record/run-record.js';
import { LowestReadings } from '../../../src/runner/memory/unit-memory.js';
import { plainChain } from '../../calibration/plain-chain.js';

const reading = (frequency_Hz: number, voltage_V: number, thdn_percent: number, channel = 1) =>
  ({ channel, frequency_Hz, voltage_V, thdn_percent }) as Reading;

describe('the lowest readings of a run', () => {
  const lowest = new LowestReadings();
  lowest.see(reading(1000, 28, 0.004));
  lowest.see(reading(1000, 2, 0.0001));
  lowest.see(reading(100, 28, 0.0002));
  lowest.see(reading(1000, 28, 0.0003, 2));
  const near = (frequency_Hz: number, voltage_V: number, thdn_percent = 0.1) =>
    lowest.near({ frequency_Hz, voltage_V, thdn_percent }, plainChain(1));

  it('bound the residue of the bench near their own frequency and level, on their own channel', () => {
    expect(near(1000, 29)).toBe(0.004);
    expect(near(1250, 22)).toBe(0.004);
  });

  it('bound nothing at another frequency or another converter level', () => {
    expect(near(4000, 29)).toBe(0.1);
    expect(near(1000, 10)).toBe(0.1);
  });

  it('are no higher than what is read at the place itself', () => {
    expect(near(1000, 29, 0.002)).toBe(0.002);
  });
});
