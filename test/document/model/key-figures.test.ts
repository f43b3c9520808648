import { expect, it } from 'vitest';
import { renderBlocks } from '../../../src/document/html/render-blocks.js';
import { keyFigures } from '../../../src/document/model/key-figures.js';
import type { Conclusion } from '../../../src/judgement/conclude/conclusion.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { resultsIn } from '../../record/results.js';
import { invented } from '../fixture.js';

const textOf = (record: RunRecord) =>
  String(renderBlocks(keyFigures({ record, judged: judgeRun(record, null) })))
    .replace(/<[^>]*>/g, ' ')
    .replace(/[\s\u00a0\u202f]+/g, ' ');

/** Only what the figure of a band is made of. */
const BAND = {
  code: 'full-band-power',
  setting: { load_ohm: 8, driven: [1, 2], all_driven: true, mains_V: null },
  limit_percent: 0.1,
  over_Hz: [20, 20_000],
  power: { power_W: 58.61, uncertainty_W: 0.12, nominal_Hz: 25, channel: 1, bound: 'at-least' },
} as unknown as Conclusion;

it('the power over the band that was concluded stands first', () => {
  const record = invented();
  const [block] = keyFigures({ record, judged: { ...judgeRun(record, null), conclusions: [BAND] } });
  expect(block).toMatchObject({
    figures: [
      {
        name: '20 Hz to 20 kHz at 0.1 % THD+N',
        value: 'at least 58.61 W',
        below: '± 0.12 W, 8 ohm, limited at 25 Hz, channel 1',
      },
      ...Array(4).fill(expect.anything()),
    ],
  });
});

const sweepOf = (record: RunRecord) => resultsIn(record).find(({ kind }) => kind === 'band')!.step;

/** The record with what its sweep asked for set to `powers_W`, point by point. */
function asking(powers_W: (i: number) => number | null): RunRecord {
  const record = invented();
  const step = sweepOf(record);
  return {
    ...record,
    points: record.points.map((point, i) =>
      point.step === step ? { ...point, asked_W: powers_W(i) } : point,
    ),
  };
}

it('the least power of a sweep stands beside the power that was requested', () => {
  const text = textOf(asking(() => 88));
  expect(text).toContain('Lowest power of the sweep 58.6 W');
  expect(text).toMatch(/channel \d; 88\.0 W requested/);
});

it('a sweep that asked for several powers tells the least and the most', () => {
  expect(textOf(asking((i) => (i % 2 === 0 ? 11 : 88)))).toContain('11.0 W to 88.0 W requested');
});

it('a sweep at a voltage asks for no power, and none is told', () => {
  const text = textOf(asking(() => null));
  expect(text).toContain('Lowest power of the sweep');
  expect(text).not.toContain('requested');
});
