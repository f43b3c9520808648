import { execFileSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { CONFIDENCE, coverageFactor } from '../../src/measure/student.js';
import { relativeError } from '../measure/signals.js';

const FREEDOMS = [1, 1.5, 2, 2.7, 3.4, 5, 7.9, 12, 33.3, 250, 4e3, 9.9e4, 1.1e5, 1e7];

describe('the coverage factor', () => {
  it("is scipy's Student's t for any degrees of freedom, whole or not", () => {
    const program = [
      'import json, sys',
      'from scipy.stats import t',
      'level, freedoms = json.load(sys.stdin)',
      'print(json.dumps([t.ppf((1 + level) / 2, nu) for nu in freedoms]))',
    ].join('\n');
    const input = JSON.stringify([CONFIDENCE, FREEDOMS]);
    const found = JSON.parse(
      execFileSync('/usr/bin/python3', ['-c', program], { input, encoding: 'utf8' }),
    ) as number[];
    FREEDOMS.forEach((freedom, i) => {
      expect(relativeError(coverageFactor(freedom), found[i]!)).toBeLessThan(1e-8);
    });
  });
});
