import { describe, expect, it } from 'vitest';
import { agreement } from '../../../src/document/comparison/agreement.js';
import { compareRuns } from '../../../src/document/comparison/comparison.js';
import { comparisonDocument } from '../../../src/document/comparison/comparison-document.js';
import { comparisonReport } from '../../../src/document/comparison/comparison-report.js';
import { comparisonText } from '../../../src/document/comparison/comparison-text.js';
import { overlays } from '../../../src/document/comparison/overlay.js';
import { numberOf } from '../../../src/record/finding.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../fixture.js';
import { HOSTILE } from '../hostile.js';
import { inventedMatrix } from '../matrix-fixture.js';
import { isWellFormed } from '../well-formed.js';
import { withoutAid } from '../without-aid.js';

const differing = (records: readonly RunRecord[]) =>
  agreement(records)
    .filter(({ state }) => state === 'differ')
    .map(({ matter }) => matter);

const text = (records: readonly RunRecord[], width = 80) =>
  comparisonText(compareRuns(records), { width, colour: false });

const PAIR = [invented({ run: 3 }), invented({ run: 12, label: 'Another unit' })];

describe('the agreement of protocols', () => {
  it('is whole for two runs that differ in the unit only', () => {
    expect(differing(PAIR)).toEqual([]);
  });

  it.each<[string, (run: RunRecord) => RunRecord, string[]]>([
    ['sequence', (run) => ({ ...run, sequence: { ...run.sequence, sha256: '6'.repeat(64) } }), ['Sequence']],
    ['version', (run) => ({ ...run, version: '0.2.0' }), ['Version of ohmest']],
    ['class of bench', (run) => ({ ...run, bench: { ...run.bench, kind: 'audio' } }), ['Class of bench']],
    ['bench file', (run) => ({ ...run, bench: { ...run.bench, sha256: 'c'.repeat(64) } }), ['Bench file']],
    ['rate', (run) => ({ ...run, bench: { ...run.bench, rate_Hz: 192_000 } }), ['Sampling rate']],
    ['outcome', (run) => ({ ...run, outcome: 'tripped', reason: 'too hot' }), ['Outcome']],
    ['calibration', (run) => ({ ...run, calibration: [] }), ['Calibration']],
    [
      'mains',
      (run) => ({ ...run, points: run.points.map((point) => ({ ...point, mains_V: 207 })) }),
      ['Mains'],
    ],
    [
      'band',
      (run) => ({ ...run, readings: run.readings.map((one) => ({ ...one, band_Hz: [20, 80_000] })) }),
      ['Measuring band'],
    ],
    [
      'measured ohms',
      (run) => ({ ...run, readings: run.readings.map((one) => ({ ...one, load_measured_ohm: 7.8 })) }),
      ['Measured ohms'],
    ],
  ])('names the %s when it differs, and what follows', (_, change, expected) => {
    const records = [PAIR[0]!, change(PAIR[1]!)];
    expect(differing(records)).toEqual(expected);
    expect(agreement(records).find(({ state }) => state === 'differ')!.effect).not.toBe('');
  });

  it('names loads, driven channels and frequencies', () => {
    expect(differing([PAIR[0]!, invented({ run: 12, load_ohm: 4 })])).toEqual(['Loads']);
    expect(differing([PAIR[0]!, invented({ run: 12, channels: 1 })])).toEqual([
      'Channels driven',
      'Calibration',
    ]);
    const fewer = { ...PAIR[1]!, points: PAIR[1]!.points.filter(({ stepKind }) => stepKind === 'climb') };
    expect(differing([PAIR[0]!, fewer])).toEqual(['Frequencies']);
  });

  it('makes a run unlike as a whole that did not end, or stems from another class of bench', () => {
    const real = { ...PAIR[1]!, bench: { ...PAIR[1]!.bench, kind: 'audio' } };
    const broken = interruptedAtPoint3({ run: 5 });
    expect(compareRuns([PAIR[0]!, real, broken]).runs.map(({ unlike }) => unlike)).toEqual([
      [],
      ['Class of bench'],
      ['Outcome'],
    ]);
  });
});

describe('the comparison in the terminal', () => {
  it('stays within 80 columns, 7 channels, other loads and hostile names included', () => {
    const cases = [
      PAIR,
      [invented({ run: 3, channels: 7 }), invented({ run: 12, load_ohm: 4, label: HOSTILE.script })],
      [inventedMatrix(), invented({ run: 99 })],
      [invented({ run: 3 }), invented({ run: 4, label: HOSTILE.terminal }), withoutReadings()],
    ];
    for (const records of cases)
      for (const line of text(records).split('\n')) expect([line, line.length <= 80]).toEqual([line, true]);
  });

  it('lets nothing through that acts on a terminal', () => {
    const hostile = Object.values(HOSTILE).map((label, i) =>
      invented({ run: 20 + i, label, benchName: label }),
    );
    expect(text([PAIR[0]!, ...hostile]).replaceAll('\n', '')).not.toMatch(/\p{Cc}|[\u202a-\u202e]/u);
  });

  it('says of unlike settings that they are unlike, and of figures without uncertainty that nothing is told', () => {
    const unlike = text([PAIR[0]!, invented({ run: 12, load_ohm: 4 })], 120);
    expect(unlike).toContain('≠ run 12: 4 ohm against 8 ohm');
    expect(unlike).toMatch(/≠ run 12 higher/);
    expect(text([invented({ run: 3, uncertainty: false }), PAIR[1]!], 120)).toContain('no U stated');
  });
});

describe('the document of a comparison', () => {
  it('holds runs, agreement and differences, whose names carry units', () => {
    const document = JSON.parse(JSON.stringify(comparisonDocument(compareRuns(PAIR))));
    expect(document.runs.map(({ run }: { run: number }) => run)).toEqual([3, 12]);
    expect(document.agreement[0]).toMatchObject({ matter: 'Outcome', state: 'agree', unlike: [] });
    const row = document.differences.find(({ quantity }: { quantity: string }) => quantity === 'max-power');
    expect(row).toMatchObject({ threshold_percent: 0.1, channel: 1, load_ohm: 8, driven: [1, 2] });
    expect(row.figures[0].power_W).toBeCloseTo(numberOf(findingsOf(PAIR[0]!)[0]!)!, 12);
    expect(row.differences[0]).toMatchObject({
      run: 12,
      to: 3,
      difference_W: 0,
      difference_dB: 0,
      finding: 'alike',
    });
  });
});

describe('the page of a comparison', () => {
  it('is well formed, the same each time, and shows hostile names as text', () => {
    const records = [PAIR[0]!, ...Object.values(HOSTILE).map((label, i) => invented({ run: 20 + i, label }))];
    const page = comparisonReport(records);
    const drawings = page.match(/<svg[\s\S]*?<\/svg>/g)!;
    expect(drawings.filter((drawing) => !isWellFormed(drawing))).toEqual([]);
    expect(comparisonReport(records)).toBe(page);
    expect(withoutAid(page)).not.toMatch(/<script|(src|href)="?https?:|onmouseover="/i);
  });

  it('gives every line of a picture another look, and every run another colour, dash and marker', () => {
    const page = comparisonReport(PAIR);
    const keys = page.match(/<ul class="key">.*?<\/ul>/s)![0].match(/<svg.*?<\/svg>/gs)!;
    expect(keys).toHaveLength(4);
    expect(new Set(keys).size).toBe(4);
    const looks = [keys[0]!, keys[2]!].map((key) => ({
      colour: key.match(/--line\d/)![0],
      dash: key.match(/stroke-dasharray="([^"]*)"/)![1],
      marker: key.match(/d="(M[^"]*)" fill/)![1],
    }));
    for (const name of ['colour', 'dash', 'marker'] as const)
      expect(looks[0]![name]).not.toBe(looks[1]![name]);
  });

  it('draws one channel a run where all would be a tangle, and says so', () => {
    const records = [invented({ run: 3, channels: 7 }), invented({ run: 12, channels: 7 })];
    const climb = overlays(compareRuns(records).runs).find(({ title }) =>
      title.startsWith('THD+N against power'),
    )!;
    // The higher its number, the earlier a channel of the invented unit clips.
    expect(climb.curves.map(({ name }) => name)).toEqual([
      'run 3, Invented stereo unit, serial 0007, channel 7',
      'run 12, Invented stereo unit, serial 0007, channel 7',
    ]);
    expect(comparisonReport(records)).toContain('only the channel that distorts first is drawn');
  });

  it('marks an unlike curve in the key', () => {
    const page = comparisonReport([PAIR[0]!, invented({ run: 12, load_ohm: 4 })]);
    expect(page).toMatch(/unlike: 4\u00a0Ω against 8\u00a0Ω/);
  });
});
