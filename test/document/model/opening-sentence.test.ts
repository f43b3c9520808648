import { expect, test } from 'vitest';
import { headline } from '../../../src/document/model/headline.js';
import { openingSentence } from '../../../src/document/model/opening-sentence.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import { invented, withoutReadings } from '../fixture.js';
import { inventedMatrix } from '../matrix-fixture.js';

const sentence = (record = invented(), claim: string | null = null) =>
  openingSentence(record, judgeRun(record, claim));
const claimOf = (power: string) =>
  `${power} per channel into 8 ohm, 0.1 % THD+N, 1 kHz, both channels driven`;

test('a climb with uncertainty gives the power of the weakest channel, and nothing about a claim without one', () => {
  const weakest = invented()
    .results.filter((result) => result.kind === 'power-at-thdn')
    .find(({ channel, threshold_percent }) => channel === 2 && threshold_percent === 0.1);
  expect(weakest).toMatchObject({ power_W: expect.closeTo(87.67, 1) });
  expect(sentence()).toBe(
    'Delivers 87.7 W ± 0.7 W per channel at 1 kHz at 0.1 % THD+N into 8 ohm with both channels driven.',
  );
  expect(sentence()).not.toContain('claim');
});

test.each([
  ['60 W', 'the claim of 60 W is met.'],
  ['90 W', 'the claim of 90 W is not met.'],
  ['87.7 W', 'inconclusive whether the claim of 87.7 W is met.'],
])('ends with what became of a claim of %s', (power, end) => {
  expect(sentence(invented({ uncertainty: true }), claimOf(power)).endsWith(`; ${end}`)).toBe(true);
});

test('says the band of a claim over a band, as its verdict may differ from what 1 kHz shows', () => {
  const wide = '60 W per channel into 8 ohm, 0.1 % THD+N, 20 Hz to 20 kHz, both channels driven';
  const text = sentence(invented({ uncertainty: true }), wide);
  expect(text).toMatch(/^Delivers 87\.7 W/);
  expect(text).toContain('; the claim of 60 W from 20 Hz to 20 kHz ');
});

test('counts the verdicts of several claims', () => {
  const two = `${claimOf('60 W')}\n${claimOf('90 W')}`;
  expect(sentence(invented({ uncertainty: true }), two)).toContain('of 2 claims 1 met, 1 not met');
});

test('is one sentence, also of a run over the band into several loads', () => {
  const text = sentence(inventedMatrix());
  expect(text).toMatch(/\.$/);
  expect(text.replace(/\d\.\d/g, '').match(/\./g)).toHaveLength(1);
});

test('ceilings that make no rating go before a figure at 1 kHz: the least of them is what is told', () => {
  const least = inventedMatrix().results.flatMap((result) =>
    result.kind === 'ceiling' && result.load_ohm === 8 && result.power_W !== null ? [result.power_W] : [],
  );
  expect(Math.min(...least)).toBe(59);
  expect(sentence(inventedMatrix())).toMatch(/^Delivers 59\.0 W from 20 Hz to 20 kHz/);
});

test('without any power it is what the headline says', () => {
  expect(sentence(withoutReadings())).toBe(headline(withoutReadings()));
});

test('where a climb found no power at the limit, none that other readings hint at goes before it', () => {
  const record = invented();
  const results = record.results.map((result) =>
    result.kind === 'power-at-thdn' ? { ...result, power_W: null, uncertainty_W: null } : result,
  );
  const inVain = { ...record, results };
  expect(sentence(inVain)).toBe(headline(inVain));
  expect(sentence(inVain)).toMatch(/^No power found at 0\.1 % and no power /);
});
