import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { htmlReport } from '../../../src/document/html/html-report.js';
import { READING_AID } from '../../../src/document/html/reading-aid.js';
import { FLAGS } from '../../../src/measure/flags.js';
import { numberOf } from '../../../src/record/finding.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../fixture.js';
import { HOSTILE } from '../hostile.js';
import { isWellFormed } from '../well-formed.js';
import { withoutAid, withoutValues } from '../without-aid.js';

const CASES: Readonly<Record<string, RunRecord>> = {
  'two channels': invented(),
  'one channel': invented({ channels: 1 }),
  'seven channels': invented({ channels: 7 }),
  'a run interrupted at point 3': interruptedAtPoint3(),
  'a run without readings': withoutReadings(),
};

const svgsOf = (page: string) => page.match(/<svg xmlns[\s\S]*?<\/svg>/g) ?? [];
/** A page with breaking spaces, as its words were written. */
const typewritten = (page: string) => page.replaceAll('\u00a0', ' ');
const valuesOf = (page: string) =>
  [...page.matchAll(/<data value="([^"]*)"/g)].map((found) => Number(found[1]));

describe.each(Object.entries(CASES))('the report of %s', (_, record) => {
  const page = htmlReport(record);

  test('refers to nothing outside itself and runs no script but the one that its policy names', () => {
    const [, hash] = /script-src 'sha256-([^']+)'">/.exec(page)!;
    expect(hash).toBe(createHash('sha256').update(READING_AID).digest('base64'));
    const text = withoutAid(page).replaceAll('http://www.w3.org/2000/svg', '');
    expect(text).not.toMatch(/<script|<link|<img|<iframe|\ssrc=|\shref=|@import|https?:|url\((?!#)/i);
  });

  test('stays under 1.5 MB', () => {
    expect(Buffer.byteLength(page)).toBeLessThan(1.5e6);
  });

  test('has well-formed charts, each with a text in its place and a caption', () => {
    const text = page;
    for (const svg of svgsOf(text)) {
      expect(isWellFormed(svg)).toBe(true);
      expect(svg).toMatch(/^<svg [^>]*role="img" aria-label="[^"]{20,}">/);
    }
    const count = (what: RegExp) => text.match(what)?.length ?? 0;
    expect(count(/<figcaption>[^<]{20,}/g)).toBe(count(/<figure /g));
  });

  test('uses no id twice', () => {
    const ids = [...page.matchAll(/\bid="([^"]*)"/g)].map((found) => found[1]);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test('is the same text each time', () => {
    expect(htmlReport(record)).toBe(page);
  });

  test('prints no number that is none', () => {
    expect(withoutAid(page)).not.toMatch(/NaN|Infinity|undefined|\[object/);
  });
});

test('every finding stands in the page with its exact value', () => {
  const record = invented();
  const values = new Set(valuesOf(htmlReport(record)));
  const numbers = findingsOf(record).flatMap((finding) => numberOf(finding) ?? []);
  expect(numbers.length).toBeGreaterThan(10);
  for (const value of numbers) expect(values).toContain(value);
});

test('powers are printed with their uncertainty in the same unit', () => {
  expect(htmlReport(invented())).toContain('>87.7\u00a0W<small> ±\u00a00.7\u00a0W</small><');
});

test('a missing uncertainty is said', () => {
  const page = htmlReport(invented({ uncertainty: false }));
  expect(page).toContain('no uncertainty stated');
  expect(page).toContain('No uncertainty stated: the bench gives none for some part of the chain');
  expect(page).not.toContain('±');
});

test('flags are explained in the words of the list of flags, with their place', () => {
  const page = htmlReport(invented());
  for (const flag of ['power-not-reached', 'harmonics-out-of-band'] as const)
    expect(typewritten(page).toLowerCase()).toContain(`<td>${FLAGS[flag].toLowerCase()}</td>`);
  expect(page).toContain('band: 20\u00a0Hz to 40\u00a0Hz, channels 1 and 2');
});

test('an outcome other than completed stands before everything else', () => {
  const page = htmlReport(interruptedAtPoint3());
  const outcome = page.indexOf('Interrupted before its end: the operator pressed Ctrl-C');
  expect(outcome).toBeGreaterThan(0);
  expect(outcome).toBeLessThan(page.indexOf('class="lead"'));
  expect(htmlReport(invented())).not.toContain('class="outcome"');
});

test('a run without readings says so and draws nothing', () => {
  const page = htmlReport(withoutReadings());
  expect(page).toContain('Nothing was measured.');
  expect(page).toContain('Ended by a fault of the bench: the capture device went away');
  expect(svgsOf(page)).toHaveLength(0);
});

test('what is needed to repeat the run is in the page', () => {
  const record = invented();
  const page = htmlReport(record);
  for (const { sha256 } of [record.sequence, record.bench, ...record.calibration])
    expect(page).toContain(sha256);
  expect(page).toContain('R10 from 20 Hz to 20 kHz');
  expect(page).toContain('No loudspeaker is connected to the unit');
  expect(page).toContain('12 s of rest for the loads before 95 W');
  expect(page).toContain('relative to the total rms in the band');
});

test.each(Object.entries(HOSTILE))(
  'a hostile text (%s) is shown as text wherever a run can carry one',
  (_, text) => {
    const plain = invented();
    const record: RunRecord = {
      ...invented({ label: text, note: text, benchName: text }),
      outcome: 'fault',
      reason: text,
      started: text,
      ended: text,
      version: text,
      sequence: { name: text, text, sha256: text },
      bench: { ...plain.bench, name: text, kind: text, text, sha256: text },
      calibration: [{ id: text, kind: text, text, sha256: text }],
      checklist: [{ item: text, answer: text, by: text, at: text }],
      events: [{ at_s: 1, kind: 'note', topic: text, text }],
      points: plain.points.map((point) => ({ ...point, step: text })),
      readings: plain.readings.slice(0, 8).map((reading) => ({ ...reading, step: text })),
      findings: plain.findings.map((finding) => ({
        ...finding,
        setting: { ...finding.setting, step: text },
        remarks: [{ code: 'in-words', text }],
      })),
    };
    const page = withoutAid(htmlReport(record));
    expect(page.match(/<\/?(script|img|b|i)\b/gi)).toBeNull();
    expect(withoutValues(page)).not.toMatch(/<[^>]*\son\w+=/i);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: their absence is what is tested
    expect(page).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/);
    for (const svg of svgsOf(page)) expect(isWellFormed(svg)).toBe(true);
  },
);

test('a run of 2000 points stays under 1.5 MB and says what it leaves out', () => {
  const page = htmlReport(invented({ climbPoints: 1969 }));
  expect(Buffer.byteLength(page)).toBeLessThan(1.5e6);
  expect(page).toContain('1000 of 4000 readings; the CSV export holds them all');
});
