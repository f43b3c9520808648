import { expect, test } from 'vitest';
import { headline } from '../../../src/document/model/headline.js';
import type { PowerAtThdn, Result } from '../../../src/record/old-results.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../fixture.js';

const climbOnly = (results: readonly Result[]) => results.filter((result) => result.kind !== 'band');

test('one sentence tells powers, load, driven channels and the band', () => {
  expect(headline(invented())).toBe(
    'Delivers 87.7 W at 0.1 % and 93.2 W at 1 % THD+N per channel into 8 ohm at 1 kHz, channels 1 and 2 driven; ' +
      'from 20 Hz to 20 kHz the level falls to 58.6 W at 20 Hz with THD+N up to 3.23 % at 50.1 Hz, ' +
      'the treble not judged: its harmonics lie out of band.',
  );
});

test('the power told is the least of all channels', () => {
  expect(headline(invented({ channels: 7 }))).toMatch(/^Delivers 81\.5 W at 0\.1 %/);
});

test('a channel without a figure is named, and so is a threshold that no channel crossed', () => {
  const record = invented();
  const drop = (lost: (mark: PowerAtThdn) => boolean) =>
    climbOnly(record.results).map((result) =>
      result.kind === 'power-at-thdn' && lost(result) ? { ...result, power_W: null } : result,
    );
  expect(headline({ ...record, results: drop((mark) => mark.channel === 2) })).toBe(
    'Delivers 88.9 W at 0.1 % (none found on channel 2) and 94.5 W at 1 % (none found on channel 2) THD+N per channel ' +
      'into 8 ohm at 1 kHz, channels 1 and 2 driven.',
  );
  expect(headline({ ...record, results: drop(() => true) })).toMatch(
    /^No power found at 0\.1 % and no power found at 1 % THD\+N/,
  );
});

test('a level that was held is said to be held', () => {
  const record = invented({ channels: 1 });
  const results = record.results.map((result) =>
    result.kind === 'band' ? { ...result, flags: [], least_power_W: 88.8 } : result,
  );
  expect(headline({ ...record, results })).toContain(
    'from 20 Hz to 20 kHz the power is kept (88.8 W or more)',
  );
});

test('a level that was meant to stay far below what was found is said to be lower', () => {
  const record = invented({ channels: 1 });
  const results = record.results.map((result) =>
    result.kind === 'band' ? { ...result, flags: [], least_power_W: 11.1 } : result,
  );
  expect(headline({ ...record, results })).toContain(
    'from 20 Hz to 20 kHz the lower level asked for is kept (11.1 W or more)',
  );
});

test('climbs that found nothing in the same setting say so once', () => {
  const record = invented({ channels: 1 });
  const climb = climbOnly(record.results).map((result) =>
    result.kind === 'power-at-thdn' ? { ...result, power_W: null } : result,
  );
  const again = climb.map((result) => ({ ...result, step: 'again' }));
  const sentence = headline({ ...record, results: [...climb, ...again] });
  expect(sentence.match(/THD\+N into/g)).toHaveLength(1);
  expect(sentence).not.toContain('more climbs');
});

test('a threshold that no channel reached is not said to be delivered', () => {
  const record = invented({ channels: 1 });
  const results = record.results.map((result) =>
    result.kind === 'power-at-thdn' && result.threshold_percent === 0.1
      ? { ...result, power_W: null }
      : result,
  );
  expect(headline({ ...record, results })).toMatch(/^No power found at 0\.1 % and [\d.]+ W at 1 % THD\+N/);
});

test('a band swept with fewer channels than the climb says which', () => {
  const record = invented({ channels: 2 });
  const results = record.results
    .filter((result) => result.kind !== 'band' || result.channel === 1)
    .map((result) => (result.kind === 'band' ? { ...result, driven: [1] } : result));
  expect(headline({ ...record, results })).toMatch(/from 20 Hz to 20 kHz with channel 1 driven /);
});

test('at most three climbs are told, and the rest counted', () => {
  const record = invented({ channels: 1 });
  const results = [1, 2, 3, 4, 5].flatMap((n) =>
    climbOnly(record.results).map((result) => ({ ...result, step: `climb-${n}` })),
  );
  const sentence = headline({ ...record, results });
  expect(sentence.match(/THD\+N into/g)).toHaveLength(3);
  expect(sentence).toContain('(and 2 more climbs below)');
});

test('without results it says how far the run came', () => {
  expect(headline(interruptedAtPoint3())).toBe('No result was reached; 3 points were measured.');
  expect(headline(withoutReadings())).toBe('Nothing was measured.');
});
