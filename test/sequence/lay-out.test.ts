import { describe, expect, it } from 'vitest';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import type { ClimbStep } from '../../src/steps/climb/plan.js';
import type { SweepStep } from '../../src/steps/sweep/plan.js';
import { bench } from './bench-fixture.js';

const into8 = (step: string, header = '') => `name: t\nload: 8 ohm\n${header}steps:\n  - ${step}\n`;
const planAt = (rate_Hz: number, step: string, header = '') =>
  makePlan(readSequence(into8(step, header), 's.yaml'), bench(1, { rate_Hz }));

describe('tones near half the sample rate', () => {
  // Converters are trusted up to 20/44.1 of the rate: 21 768.7 Hz at 48 kHz.
  it.each([
    [48_000, '21.76 kHz'],
    [44_100, '20 kHz'],
    [192_000, '87 kHz'],
  ])('at %i Hz are played up to %s', (rate_Hz, frequency) => {
    const [step] = planAt(rate_Hz, `climb: {frequency: ${frequency}}`).steps as [ClimbStep];
    expect(step.tone.frequency_Hz).toBeLessThan(rate_Hz / 2);
  });

  it.each([
    [
      48_000,
      '21.8 kHz',
      "21.8 kHz is too near half the sample rate; at 48 kHz stay at or below 21.76 kHz, or raise the bench's rate",
    ],
    [48_000, '23.9 kHz', '23.9 kHz is too near half the sample rate'],
    [48_000, '24 kHz', '24 kHz is not below half the sample rate; at 48 kHz stay at or below 21.76 kHz'],
    [44_100, '20.01 kHz', '20.01 kHz is too near half the sample rate; at 44.1 kHz stay at or below 20 kHz'],
  ])('at %i Hz are refused at %s, with the highest that would do', (rate_Hz, frequency, said) => {
    expect(() => planAt(rate_Hz, `climb: {frequency: ${frequency}}`)).toThrow(said);
  });

  it('are refused in a list and at the end of a band too', () => {
    expect(() => planAt(48_000, 'sweep: {level: 1 W, frequencies: [1 kHz, 22 kHz]}')).toThrow(
      's.yaml:4:46: steps[1].sweep.frequencies[2]: 22 kHz is too near',
    );
    expect(() => planAt(48_000, 'sweep: {level: 1 W, frequencies: R10 from 20 Hz to 22 kHz}')).toThrow(
      '22 kHz is too near',
    );
  });

  it('let a band up to 20 kHz be swept at 44.1 kHz', () => {
    const [sweep] = planAt(44_100, 'sweep: {level: 1 W, frequencies: R10 from 20 Hz to 20 kHz}').steps as [
      SweepStep,
    ];
    expect(sweep.tones).toHaveLength(31);
  });
});

describe('a measuring band that reaches beyond half the sample rate', () => {
  const said =
    'the measuring band reaches up to 30 kHz, beyond half the sample rate; at 48 kHz end it at 24 kHz or below';

  it('is refused where it stands, once', () => {
    const step = 'climb: {frequency: 1 kHz, band: 20 Hz to 30 kHz}';
    expect(() => planAt(48_000, step)).toThrow(`s.yaml:4:37: steps[1].climb.band: ${said}`);
    const both = 'climb: {frequency: 1 kHz}\n  - sweep: {level: 1 W, frequencies: [1 kHz]}';
    expect(() => planAt(48_000, both, 'band: 20 Hz to 30 kHz\n')).toThrow(
      new RegExp(`^s.yaml:3:7: band: ${said}\\.$`),
    );
  });

  it('may end at half the rate exactly', () => {
    const [step] = planAt(48_000, 'climb: {frequency: 1 kHz, band: 20 Hz to 24 kHz}').steps as [ClimbStep];
    expect(step.band).toEqual([20, 24_000]);
  });
});

describe('levels that are none', () => {
  it.each([
    ['climb: {frequency: 1 kHz, from: 1e-300 W}', "expected a power of at least 1 nW, got '1e-300 W'"],
    ['climb: {frequency: 1 kHz, from: 0.9 nW}', "expected a power of at least 1 nW, got '0.9 nW'"],
    ['climb: {frequency: 1 kHz, to: 1e-12 W}', "expected at least 1 nW, got '1e-12 W'"],
    ['sweep: {level: 1e-300 W, frequencies: [1 kHz]}', "expected at least 1 nW, got '1e-300 W'"],
    ['sweep: {level: 1 nV, frequencies: [1 kHz]}', "expected at least 1 uV, got '1 nV'"],
  ])('%s is refused', (step, said) => {
    expect(() => planAt(48_000, step)).toThrow(said);
  });

  it('begin at 1 nW', () => {
    const [step] = planAt(48_000, 'climb: {frequency: 1 kHz, from: 1 nW}').steps as [ClimbStep];
    expect(step.from_W).toBe(1e-9);
  });
});

describe('a frequency that is listed twice', () => {
  it.each([
    ['[1 kHz, 2 kHz, 1000 Hz]', 's.yaml:4:53: steps[1].sweep.frequencies[3]: 1 kHz is listed twice'],
    ['[20 Hz, 20 Hz]', 's.yaml:4:46: steps[1].sweep.frequencies[2]: 20 Hz is listed twice'],
  ])('%s is refused where it comes again', (list, said) => {
    expect(() => planAt(48_000, `sweep: {level: 1 W, frequencies: ${list}}`)).toThrow(said);
  });
});
