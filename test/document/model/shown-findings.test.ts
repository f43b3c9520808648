import { expect, test } from 'vitest';
import { frequencyOf } from '../../../src/document/model/finding-words.js';
import { shownFindings } from '../../../src/document/model/shown-findings.js';
import { runText } from '../../../src/document/text/run-text.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import { invented } from '../fixture.js';

test('the extremes of a sweep are placed by nominal frequencies, whatever was played', () => {
  const record = invented();
  const nominals = new Set(record.points.map(({ nominal_Hz }) => nominal_Hz));
  const swept = shownFindings(record).filter(({ setting }) => setting.step_kind === 'sweep');
  expect(swept.length).toBeGreaterThan(3);
  for (const finding of swept)
    for (const hz of [frequencyOf(finding)!, ...finding.terms.over_Hz!]) expect(nominals).toContain(hz);
  expect(shownFindings(record)).toHaveLength(findingsOf(record).length);
});

test('a frequency that was played a little off is said by its nominal value in every table', () => {
  const record = invented();
  const off = (hz: number) => hz * 0.989;
  const shifted = {
    ...record,
    points: record.points.map((point) => ({ ...point, frequency_Hz: off(point.nominal_Hz) })),
    findings: findingsOf(record).map((finding) => ({
      ...finding,
      ...(finding.terms.over_Hz && {
        terms: { ...finding.terms, over_Hz: [off(10 ** 1.3), off(10 ** 4.3)] as const },
        stimulus: { ...finding.stimulus, lines_Hz: [off(10 ** 1.3)], nominal_Hz: null },
      }),
    })),
  };
  const said = runText(shifted, { width: 120, colour: false, details: true });
  expect(said).toContain('20 Hz to 20 kHz');
  expect(said).not.toMatch(/19\.[78]\d* k?Hz/);
});
