import { expect, it } from 'vitest';
import { figuresOfRun } from '../../../src/document/comparison/figures-of-run.js';
import { invented } from '../fixture.js';

const record = invented();
const sweep = record.results.find(({ kind }) => kind === 'band')!.step;

/** What the figures of the sweep say was asked for, when its points asked for these powers in turn. */
function askedOf(powers_W: readonly (number | null)[]) {
  const own = record.points.filter(({ step }) => step === sweep);
  const points = record.points.map((point) =>
    point.step === sweep ? { ...point, asked_W: powers_W[own.indexOf(point) % powers_W.length]! } : point,
  );
  const figures = figuresOfRun({ ...record, points });
  return new Set(figures.filter(({ kind }) => kind.startsWith('band-')).map(({ asked_W }) => asked_W));
}

it.each([
  ['one power at every point', [12.5], 12.5],
  ['several powers', [12.5, 12.5, 70], null],
  ['first one power, then another, then the first again', [12.5, 70, 12.5], null],
  ['volts', [null], null],
] as const)(
  'the figures of a sweep that asked for %s tell a power only where it is one',
  (_what, powers_W, told) => {
    expect(askedOf(powers_W)).toEqual(new Set([told]));
  },
);

it('a power that was found was not asked for', () => {
  const found = figuresOfRun(record).filter(({ kind }) => kind === 'power-at-thdn');
  expect(found.length).toBeGreaterThan(0);
  expect(found.every(({ asked_W }) => asked_W === null)).toBe(true);
});
