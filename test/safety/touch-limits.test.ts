import { expect, it } from 'vitest';
import { DRY_LIMIT, GUARD_LIMIT, limitPassed } from '../../src/safety/touch-limits.js';

// IEC 61010-1: 30 V rms, 42.4 V peak; IEC 62368-1, ES2: 50 V rms, 70.7 V peak. A limit itself is not passed.
it.each([
  [30, 42.4, null],
  [30.1, 0, DRY_LIMIT],
  [0, 42.5, DRY_LIMIT],
  [50, 70.7, DRY_LIMIT],
  [50.1, 0, GUARD_LIMIT],
  [0, 70.8, GUARD_LIMIT],
])('%d V rms and %d V peak pass the highest limit that either of them passes', (rms_V, peak_V, limit) => {
  expect(limitPassed(rms_V, peak_V)).toBe(limit);
});
