import { describe, expect, test } from 'vitest';
import { csvExport } from '../../src/document/csv/csv-export.js';
import { resultsCsv } from '../../src/document/csv/results-csv.js';
import { htmlReport } from '../../src/document/html/html-report.js';
import { showDocument } from '../../src/document/json/show-document.js';
import { valueWords } from '../../src/document/model/finding-words.js';
import { runText } from '../../src/document/text/run-text.js';
import type { Finding, Value } from '../../src/record/finding.js';
import { QUANTITIES, type QuantityName } from '../../src/record/quantities.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { STEP_KINDS, type StepKindName } from '../../src/sequence/step-base.js';
import { invented, withoutReadings } from './fixture.js';
import { parse } from './parse-csv.js';

/** A value that no other figure of the invented run prints. */
const VALUES: Readonly<Record<(typeof QUANTITIES)[QuantityName]['holds'], Value>> = {
  number: 43.21,
  intervals: [[21.31, 32.47]],
  causes: [{ cause: 'slew-limit', confidence: 0.43, evidence: ['the slope stops at 7 V/us'] }],
};

/** The kind of step that a quantity mostly comes from. */
const KINDS: Readonly<Record<QuantityName, StepKindName>> = {
  'max-power': 'max-power',
  'exceeded-below': 'max-power',
  cause: 'max-power',
  'total-power': 'climb',
  'knee-power': 'climb',
  'plateau-thdn': 'climb',
  'clipping-interval': 'climb',
  power: 'sweep',
  thdn: 'sweep',
  dip: 'hold',
  dc: 'quiet',
  'dc-by-meter': 'quiet',
  noise: 'quiet',
  hum: 'quiet',
};

function findingOf(quantity: QuantityName, step_kind: StepKindName = KINDS[quantity]): Finding {
  const whole = quantity === 'total-power';
  return {
    quantity,
    statistic: quantity === 'power' ? 'minimum' : quantity === 'thdn' ? 'maximum' : 'value',
    value: VALUES[QUANTITIES[quantity].holds],
    bound: 'found',
    why: null,
    uncertainty: QUANTITIES[quantity].holds === 'number' ? 0.12 : null,
    budgets: [],
    setting: {
      ...{ step: 'only', step_kind, channel: whole ? null : 1, driven: [1] },
      ...{ load_ohm: 8, mains_V: null, cell: '' },
    },
    stimulus: { lines_Hz: [1000], nominal_Hz: 1000, envelope: { kind: 'steady' } },
    terms: { threshold_percent: 0.1 },
    points: [],
    flags: [],
    remarks: [],
  };
}

const recordOf = (...findings: Finding[]): RunRecord => ({ ...withoutReadings(), findings });

const plain = (text: string) =>
  text
    .replace(/<small>\s*/g, ' ')
    .replace(/<[^>]*>/g, '')
    .replace(/[\s\u00a0]+/g, ' ');

/** What a finding must be found by in anything that people read, whatever stands between its words. */
const words = (finding: Finding) => valueWords(finding);

describe.each(Object.keys(QUANTITIES) as QuantityName[])('the quantity %s', (quantity) => {
  const finding = findingOf(quantity);
  const record = recordOf(finding);

  test('stands in show, in its details and in the report, with its uncertainty', () => {
    const options = { width: 120, colour: false };
    expect(plain(runText(record, options))).toContain(words(finding));
    const details = plain(runText(record, { ...options, details: true }));
    expect(details.split(words(finding)).length).toBeGreaterThan(2);
    expect(plain(htmlReport(record)).split(words(finding)).length).toBeGreaterThan(2);
  });

  test('stands in CSV and JSON with its unit', () => {
    const [row] = parse(resultsCsv(record));
    expect(row).toMatchObject({ quantity, value_unit: QUANTITIES[quantity].unit, step: 'only' });
    expect(row!.value).toBe(typeof finding.value === 'number' ? '43.21' : words(finding));
    expect(showDocument(record)).toMatchObject({
      findings: [{ quantity, value: finding.value, unit: QUANTITIES[quantity].unit }],
    });
  });

  test.each(STEP_KINDS.filter((kind) => kind !== 'ask' && kind !== 'rest'))(
    'is not lost when a step of the kind %s brings it',
    (kind) => {
      const odd = recordOf(findingOf(quantity, kind));
      expect(plain(htmlReport(odd))).toContain(words(finding));
      expect(plain(runText(odd, { width: 120, colour: false, details: true }))).toContain(words(finding));
    },
  );
});

test('a dip that no record shows is told as below what it shows', () => {
  const dip = (value: number) => valueWords({ ...findingOf('dip'), value, uncertainty: null });
  expect([dip(0.0044), dip(0), dip(0.013)]).toEqual(['below 0.01 dB', 'below 0.01 dB', '0.013 dB']);
});

describe('what a later version brought', () => {
  const later = {
    ...findingOf('power'),
    quantity: 'glow' as QuantityName,
    setting: { ...findingOf('power').setting, step_kind: 'burst' as StepKindName, step: 'bursts' },
  };

  test('is listed as unknown, with its value, and rated nowhere', () => {
    const record = recordOf(later);
    for (const text of [runText(record, { width: 120, colour: false }), plain(htmlReport(record))]) {
      expect(text).toContain('Figures that this version does not know');
      expect(text).toContain('43.21');
      expect(text).not.toContain('Ratings');
    }
    expect(parse(resultsCsv(record))).toMatchObject([{ quantity: 'glow', value: '43.21', value_unit: '' }]);
    expect(showDocument(record)).toMatchObject({
      results: [],
      findings: [{ quantity: 'glow', value: 43.21 }],
    });
  });
});

test('a bound is called one, with the limit that ended the search by name', () => {
  const finding: Finding = {
    ...findingOf('max-power'),
    bound: 'at-least',
    why: { code: 'not-reached', end: { by: 'load-rating', limit_W: 25 }, reached_W: 24.9 },
  };
  const said = plain(runText(recordOf(finding), { width: 120, colour: false }));
  expect(said).toContain('at least 43.21 W ± 0.12 W');
  expect(said).toContain("the search ended at the load's rating of 25.0 W");
});

test('what no finding is made of is exported as before: a row for each reading', () => {
  expect(parse(csvExport(invented()))).toHaveLength(invented().readings.length);
});
