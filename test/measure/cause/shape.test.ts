import { describe, expect, it } from 'vitest';
import { PHASES } from '../../../src/measure/cause/fold.js';
import { fitShape } from '../../../src/measure/cause/shape-fit.js';
import { harmonicsOf, shapeTemplates } from '../../../src/measure/cause/shape-templates.js';
import { crossingShare, slopeOf, topsOf } from '../../../src/measure/cause/tops.js';

const cycleOf = (wave: (x: number) => number) =>
  Float64Array.from({ length: PHASES }, (_, i) => wave((2 * Math.PI * (i + 0.5)) / PHASES));
const clipped = (limit: number, low = limit) => cycleOf((x) => Math.max(-low, Math.min(limit, Math.sin(x))));
const triangle = cycleOf((x) => (2 / Math.PI) * Math.asin(Math.sin(x)));
const gapped = (missing: number, width: number) =>
  cycleOf((x) => Math.sin(x) - (missing * Math.sin(x)) / Math.hypot(Math.sin(x), width));

describe('harmonics of a cycle', () => {
  it('are -1/9, 1/25, -1/49 for a triangle, 12.115 % together (standards facts, section 13: beyond the slew limit)', () => {
    const { re, im } = harmonicsOf(triangle);
    expect(re[1]).toBeCloseTo(-1 / 9, 4);
    expect(re[3]).toBeCloseTo(1 / 25, 4);
    expect(re[5]).toBeCloseTo(-1 / 49, 4);
    const power = re.reduce((total, x, i) => total + x * x + im[i]! ** 2, 0);
    // Orders beyond 25 hold the last 0.0004 of it.
    expect(100 * Math.sqrt(power)).toBeCloseTo(12.115, 2);
  });

  it('are turned with the cycle, so that where it begins does not matter', () => {
    const here = harmonicsOf(clipped(0.9, 0.8));
    const turned = harmonicsOf(cycleOf((x) => Math.max(-0.8, Math.min(0.9, Math.sin(x + 0.7)))));
    for (const order of [2, 3, 4, 5]) {
      expect(turned.re[order - 2]).toBeCloseTo(here.re[order - 2]!, 4);
      expect(turned.im[order - 2]).toBeCloseTo(here.im[order - 2]!, 4);
    }
  });

  it('of a sine clipped at 0.9 are +3.29 % and -2.29 % (worked out apart, by quadrature)', () => {
    const { re } = harmonicsOf(clipped(0.9));
    expect(re[1]).toBeCloseTo(0.0329, 3);
    expect(re[3]).toBeCloseTo(-0.0229, 3);
  });

  it('of a deep slew limit are those of the triangle', () => {
    const deepest = shapeTemplates().findLast(({ kind }) => kind === 'slew')!;
    expect(deepest.parts[0]!.re[1]).toBeGreaterThan(-0.113);
    expect(deepest.parts[0]!.re[1]).toBeLessThan(-0.11);
  });
});

describe('the shape of a wave', () => {
  it('is told with one harmonic alone: in phase for a clip, against it for a slope limit', () => {
    expect(fitShape(harmonicsOf(clipped(0.93), 3)).clip).toBeGreaterThan(0.99);
    const slewed = shapeTemplates().find(({ kind }) => kind === 'slew')!.parts[0]!;
    const third = { re: slewed.re.slice(0, 2), im: slewed.im.slice(0, 2) };
    expect(fitShape(third).slew).toBeGreaterThan(0.99);
  });

  it('of unequal tops is still a clip', () => {
    expect(fitShape(harmonicsOf(clipped(0.95, 0.8))).clip).toBeGreaterThan(0.97);
  });

  it('of a gap at the crossing is a crossover, whatever its width', () => {
    for (const width of [0.005, 0.02, 0.06, 0.2]) {
      expect(fitShape(harmonicsOf(gapped(0.02, width))).crossover).toBeGreaterThan(0.98);
    }
  });

  it('of a clip with a gap has both', () => {
    const cycle = cycleOf((x) => {
      const v = Math.sin(x) - (0.02 * Math.sin(x)) / Math.hypot(Math.sin(x), 0.02);
      return Math.max(-0.95, Math.min(0.95, v));
    });
    const shape = fitShape(harmonicsOf(cycle));
    expect(shape.clip).toBeGreaterThan(0.3);
    expect(shape.crossover).toBeGreaterThan(0.3);
    expect(shape.slew).toBe(0);
  });

  it('of a square law alone is none of them', () => {
    const { clip, slew, crossover } = fitShape(
      harmonicsOf(cycleOf((x) => Math.sin(x) + 0.05 * Math.sin(x) ** 2)),
    );
    expect(clip + slew + crossover).toBeLessThan(0.65);
  });
});

describe('ends, slopes and crossings of a cycle', () => {
  it('of a sine have their closed forms: 2 acos(0.98) / pi, 2 acos(0.95) / pi, 2 pi f V', () => {
    const cycle = cycleOf((x) => 40 * Math.sin(x));
    expect(topsOf(cycle).share).toBeCloseTo((2 * Math.acos(0.98)) / Math.PI, 2);
    const slope = slopeOf(cycle, 20_000);
    expect(slope.share).toBeCloseTo((2 * Math.acos(0.95)) / Math.PI, 2);
    // 5.026548 V/us for 40 V at 20 kHz (standards facts, section 13); a chord over 8.4 degrees is 0.09 %
    // flatter.
    expect(slope.steepest_per_s / 1e6).toBeCloseTo(5.026548 * (Math.sin(0.0736) / 0.0736), 3);
  });

  it('tell flat tops with their heights from a triangle with its slope', () => {
    const tops = topsOf(clipped(0.9, 0.8));
    expect(tops.positive).toBeCloseTo(0.9, 2);
    expect(tops.negative).toBeCloseTo(0.8, 2);
    expect(tops.share).toBeGreaterThan(0.35);
    expect(topsOf(triangle).share).toBeCloseTo(0.02, 2);
    expect(slopeOf(triangle, 1000).share).toBeGreaterThan(0.9);
  });

  it('find the residue of a gap at the crossings, and that of a clip far from them', () => {
    const near = (cycle: Float64Array) => {
      const amplitude =
        (2 / PHASES) *
        cycle.reduce((total, v, i) => total + v * Math.sin((2 * Math.PI * (i + 0.5)) / PHASES), 0);
      return crossingShare(cycle, amplitude, 0);
    };
    // A square wave less its fundamental: (1 - 4/pi sin)^2 within 0.3 rad over the whole, by quadrature.
    expect(near(gapped(0.01, 1e-4))).toBeCloseTo(0.666, 1);
    expect(near(clipped(0.9))).toBeLessThan(0.05);
  });
});
