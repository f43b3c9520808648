import { expect, test } from 'vitest';
import { formatUncertain, uncertainParts } from '../../src/units/format-uncertain.js';

// Expected texts by hand from the rule: two digits of U where its first is 1 or 2, else one; up where rounding takes more than 5 %.
test.each([
  [99.598, 0.168, '99.60 W ± 0.17 W'],
  [37.4, 0.27, '37.40 W ± 0.27 W'],
  [103.84, 0.83, '103.8 W ± 0.8 W'],
  [87.7, 0.72, '87.7 W ± 0.7 W'],
  [87.71, 0.34, '87.7 W ± 0.4 W'],
  [12.5, 0.022, '12.500 W ± 0.022 W'],
  [12.5, 0.0951, '12.50 W ± 0.10 W'],
  [151, 12.2, '151 W ± 12 W'],
  [151, 41, '150 W ± 40 W'],
  [1234.5, 250, '1.23 kW ± 0.25 kW'],
  [0.99997, 0.004, '1.000 W ± 0.004 W'],
  [0.0123, 0.0004, '12.3 mW ± 0.4 mW'],
  // What lies between zero and its uncertainty has the unit of the uncertainty, and no minus sign.
  [-0.001, 0.51, '0 mW ± 500 mW'],
  [78.5, 175, '80 W ± 180 W'],
])('%d W with U = %d W is printed as %s', (value, uncertainty, words) => {
  expect(formatUncertain(value, uncertainty, 'W')).toBe(words);
});

test('without an uncertainty the value has its usual figures', () => {
  expect(formatUncertain(101.23, null, 'W')).toBe('101.2 W');
});

test('an uncertainty that no figure can show is not printed as zero', () => {
  expect(formatUncertain(100.858, 1e-9, 'W')).toBe('100.858 W ± 0.001 W');
});

test('percent, volts and decibels follow the same rule', () => {
  expect(formatUncertain(0.0341, 0.0021, '%')).toBe('0.0341 % ± 0.0021 %');
  expect(formatUncertain(28.28, 0.064, 'V')).toBe('28.28 V ± 0.07 V');
  expect(formatUncertain(-0.0004, 0.03, 'dB')).toBe('0.00 dB ± 0.03 dB');
});

test('value and uncertainty always end at the same decimal place, and U never shrinks by more than 5 %', () => {
  for (let i = 0; i < 4000; i += 1) {
    // Spread over nine decades by the golden ratio, the same each time.
    const share = (i * 0.6180339887) % 1;
    const [value, within] = [10 ** (9 * share - 6), 10 ** (9 * ((share * 7919) % 1) - 6)];
    const parts = uncertainParts(value, within, 'W')!;
    const decimals = (text: string) => /\.(\d+)/.exec(text)?.[1]?.length ?? 0;
    expect(decimals(parts.value), `${value} ${within}`).toBe(decimals(parts.within));
    const scale = { nW: 1e-9, uW: 1e-6, mW: 1e-3, W: 1, kW: 1e3 }[parts.within.split(' ')[1]!]!;
    expect(Number(parts.within.split(' ')[0]) * scale, `${value} ${within}`).toBeGreaterThanOrEqual(
      0.95 * within * (1 - 1e-9),
    );
  }
});
