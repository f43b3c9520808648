import { expect, it } from 'vitest';
import { renderBlocks } from '../../../src/document/html/render-blocks.js';
import { keyFigures } from '../../../src/document/model/key-figures.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { resultsIn } from '../../record/results.js';
import { invented } from '../fixture.js';

const textOf = (record: RunRecord) =>
  String(renderBlocks(keyFigures(record)))
    .replace(/<[^>]*>/g, ' ')
    .replace(/[\s\u00a0\u202f]+/g, ' ');

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
