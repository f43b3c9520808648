import { expect, test } from 'vitest';
import { ratings } from '../../src/judgement/rating/ratings.js';
import type { Point } from '../../src/record/run-record.js';
import { ratesOf } from '../../src/record/step-kinds.js';
import { madeRun } from '../judgement/made-run.js';

test('a kind of a later version carries no rating, whatever it is called', () => {
  expect(ratesOf('climb')).toBe('continuous');
  expect(ratesOf('warm-up')).toBe('none');
  for (const name of ['burst', 'constructor', '', '__proto__']) expect(ratesOf(name)).toBe('none');
});

test('a climb that a record calls by another name is rated as no continuous power', () => {
  const climb = (kind: Point['stepKind']) =>
    madeRun([
      {
        ...{ step: 'up', kind, nominal_Hz: 1000 },
        trials: [1, 2].flatMap((channel) => [
          { power_W: 1, percent: 0.01, channel },
          { power_W: 80, percent: 0.02, channel },
          { power_W: 87, percent: 0.099, channel },
          { power_W: 88, percent: 0.11, channel },
          { power_W: 92, percent: 1.1, channel },
        ]),
      },
    ]);
  const kept = (kind: Point['stepKind']) => JSON.stringify(ratings(climb(kind))).includes('87.');
  expect(kept('climb')).toBe(true);
  expect(kept('burst' as Point['stepKind'])).toBe(false);
});
