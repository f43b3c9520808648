import { describe, expect, it } from 'vitest';
import { figuresOfRun } from '../../../src/document/comparison/figures-of-run.js';
import type { Finding } from '../../../src/record/finding.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import { QUANTITIES, type QuantityName } from '../../../src/record/quantities.js';
import { invented } from '../fixture.js';
import { inventedMatrix } from '../matrix-fixture.js';

const record = invented();
const sweep = record.points.find(({ stepKind }) => stepKind === 'sweep')!.step;

/** What the figures of the sweep say was requested, when its points requested these powers in turn. */
function askedOf(powers_W: readonly (number | null)[]) {
  const own = record.points.filter(({ step }) => step === sweep);
  const points = record.points.map((point) =>
    point.step === sweep ? { ...point, asked_W: powers_W[own.indexOf(point) % powers_W.length]! } : point,
  );
  const figures = figuresOfRun({ ...record, points });
  return new Set(figures.filter(({ held }) => held).map(({ asked_W }) => asked_W));
}

it.each([
  ['one power at every point', [12.5], 12.5],
  ['several powers', [12.5, 12.5, 70], null],
  ['first one power, then another, then the first again', [12.5, 70, 12.5], null],
  ['volts', [null], null],
] as const)(
  'the figures of a sweep that requested %s tell a power only where it is one',
  (_what, powers_W, told) => {
    expect(askedOf(powers_W)).toEqual(new Set([told]));
  },
);

it('a power that was searched for was not requested', () => {
  const found = figuresOfRun(record).filter(({ threshold_percent }) => threshold_percent !== null);
  expect(found.length).toBeGreaterThan(0);
  expect(found.every(({ asked_W, held }) => asked_W === null && !held)).toBe(true);
});

describe('the worst of a band', () => {
  const figures = figuresOfRun(inventedMatrix());
  const worst = figures.filter(
    ({ finding }) => finding.terms.over_Hz !== undefined && finding.quantity === 'max-power',
  );

  it('is the lowest maximum power of each channel and load, with its frequency', () => {
    expect(worst.map(({ load_ohm, channel, value }) => [load_ohm, channel, value])).toEqual([
      [8, 1, 60],
      [8, 2, 59],
      [4, 1, expect.closeTo(1.8 * 60, 9)],
      [4, 2, expect.closeTo(1.8 * 59, 9)],
    ]);
    for (const { band_Hz, finding } of worst)
      expect([band_Hz, finding.stimulus.nominal_Hz]).toEqual([[20, 20_000], 20]);
  });

  it('says where nothing was found', () => {
    expect(worst.map(({ missing_Hz }) => missing_Hz)).toEqual([[], [], [], [20_000]]);
  });

  it('is not made where the run states it itself', () => {
    const matrix = inventedMatrix();
    const [one] = figuresOfRun(matrix).filter(({ single }) => single);
    const stated: Finding = {
      ...one!.finding,
      statistic: 'minimum',
      terms: { ...one!.finding.terms, over_Hz: [20, 20_000] },
    };
    const again = figuresOfRun({ ...matrix, findings: [...findingsOf(matrix), stated] });
    const { channel, load_ohm } = one!;
    expect(
      again
        .filter(
          (each) =>
            each.finding.terms.over_Hz &&
            each.channel === channel &&
            each.load_ohm === load_ohm &&
            each.threshold_percent === 0.1,
        )
        .map(({ finding }) => finding),
    ).toEqual([stated]);
  });
});

it('every quantity that is a number is compared, by one path', () => {
  const [template] = findingsOf(record);
  const names = Object.keys(QUANTITIES) as QuantityName[];
  const findings = names.map(
    (quantity): Finding => ({
      ...template!,
      quantity,
      value: QUANTITIES[quantity].holds === 'number' ? 1 : [],
    }),
  );
  const compared = figuresOfRun({ ...record, findings }).map(({ finding }) => finding.quantity);
  expect(compared).toEqual(names.filter((name) => QUANTITIES[name].holds === 'number'));
});
