import { describe, expect, it } from 'vitest';
import { claimPower } from '../../src/cli/claim-power.js';

describe('claimPower', () => {
  it.each([
    ['100 W', 100],
    ['0.5 kW', 500],
    [' 250 mW ', 0.25],
  ])('reads %j', (text, power_W) => {
    expect(claimPower(text)).toBeCloseTo(power_W, 12);
  });

  it.each([
    ['100', "--claim: expected a power such as 50 mW or 100 W, got '100'. Give the unit."],
    ['100 V', "--claim: expected a power such as 50 mW or 100 W, got '100 V'. 'V' is the unit of a voltage."],
    ['0 W', "--claim: no amplifier gives '0 W' per channel. Give a power from 1 mW to 100 kW."],
    ['-5 W', "--claim: no amplifier gives '-5 W' per channel. Give a power from 1 mW to 100 kW."],
    ['200 kW', "--claim: no amplifier gives '200 kW' per channel. Give a power from 1 mW to 100 kW."],
  ])('refuses %j with the reason', (text, message) => {
    expect(() => claimPower(text)).toThrow(message);
  });
});
