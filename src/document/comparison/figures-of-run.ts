import { type Finding, numberOf, type Statistic } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import { type QuantityTraits, quantityNamed } from '../../record/quantities.js';
import type { RunRecord } from '../../record/run-record.js';
import { standingFindings } from '../../record/standing-findings.js';
import { groupBy } from '../../units/group-by.js';
import type { PlayedSetting } from '../model/block.js';
import { frequencyOf } from '../model/finding-words.js';

/** What a figure, or a curve, is matched by. */
export interface Matchable extends PlayedSetting {
  readonly run: number;
  /** What it is a figure, or a picture, of. */
  readonly what: string;
  /** Whether its level stands in the sequence only: then its step is part of what it says. */
  readonly held: boolean;
  readonly channel: number;
  /** Its nominal frequencies, lowest and highest; twice the same where it has one only. */
  readonly band_Hz: readonly [number, number];
}

/** One finding of one run that is a number, with what decides whether another may be held against it. */
export interface RunFigure extends Matchable {
  readonly finding: Finding;
  readonly unit: QuantityTraits['unit'];
  /** Null when the run looked for it and found none. */
  readonly value: number | null;
  /** The strictest limit comes first; null for a figure without one. */
  readonly threshold_percent: number | null;
  /** Where it was found, the frequency played; null without a tone. */
  readonly frequency_Hz: number | null;
  /** Band that its readings were taken in; null where none was kept. */
  readonly measured_Hz: readonly [number, number] | null;
  /** The power that its step requested; null where it requested several, or volts. */
  readonly asked_W: number | null;
  /** Of a figure that is the worst of a band: where nothing was found, so that it may not be the worst; else empty. */
  readonly missing_Hz: readonly number[];
  /** Whether it is one of those at single frequencies that the worst of a band was taken from. */
  readonly single: boolean;
}

/** Statistics of a level that a step was told to hold, rather than of one that it searched. */
const OF_A_LEVEL: ReadonlySet<Statistic> = new Set(['minimum', 'maximum', 'first', 'last']);

/** Every number that a run found, which another run may have too: the worst of each band first. */
export function figuresOfRun(record: RunRecord): RunFigure[] {
  const findings = standingFindings(findingsOf(record)).filter(
    ({ quantity }) => quantityNamed(quantity)?.holds === 'number',
  );
  const worst = worstOfBands(findings);
  const singles = new Set(worst.flatMap(({ of }) => of));
  const bands = measuringBands(record);
  const asked = askedPowers(record);
  const nominals = nominalFrequencies(record);
  const nominalIn = (step: string, played_Hz: number) => nominals.get(toneKey(step, played_Hz)) ?? played_Hz;
  const figureOf = (finding: Finding, missing_Hz: readonly number[] = []): RunFigure => {
    const { quantity, statistic, value, setting, stimulus, terms } = finding;
    const { step, channel, driven, load_ohm, mains_V } = setting;
    const { threshold_percent = null, over_Hz, band_Hz } = terms;
    const frequency_Hz = stimulus.lines_Hz[0] ?? null;
    const nominal_Hz = frequencyOf(finding) ?? 0;
    return {
      run: record.run,
      finding,
      what: JSON.stringify([quantity, statistic, threshold_percent, terms.weighting ?? null]),
      held: threshold_percent === null && OF_A_LEVEL.has(statistic),
      step,
      channel: channel ?? 0,
      driven,
      load_ohm,
      mains_V,
      band_Hz: over_Hz
        ? [nominalIn(step, over_Hz[0]), nominalIn(step, over_Hz[1])]
        : [nominal_Hz, nominal_Hz],
      unit: quantityNamed(quantity)!.unit,
      // A reading that was no number makes no figure.
      value: typeof value === 'number' && Number.isFinite(value) ? value : null,
      threshold_percent,
      frequency_Hz,
      measured_Hz: band_Hz ?? bands.get(toneKey(step, frequency_Hz)) ?? null,
      asked_W: asked.get(step) ?? null,
      missing_Hz,
      single: singles.has(finding),
    };
  };
  return [
    ...worst.map(({ finding, missing_Hz }) => figureOf(finding, missing_Hz)),
    ...findings.map((finding) => figureOf(finding)),
  ];
}

/** The power that each step requested at all of its points; null where they differ. */
function askedPowers({ points }: RunRecord): Map<string, number | null> {
  const asked = new Map<string, number | null>();
  for (const { step, asked_W } of points)
    asked.set(step, !asked.has(step) || asked.get(step) === asked_W ? asked_W : null);
  return asked;
}

const toneKey = (step: string, frequency_Hz: number | null): string => `${step}\n${frequency_Hz}`;

/** The nominal frequency of each tone of each step. */
const nominalFrequencies = ({ points }: RunRecord): Map<string, number> =>
  new Map(points.map(({ step, frequency_Hz, nominal_Hz }) => [toneKey(step, frequency_Hz), nominal_Hz]));

/** The measuring band of each tone of each step. */
const measuringBands = ({ readings }: RunRecord): Map<string, readonly [number, number]> =>
  new Map(readings.map(({ step, frequency_Hz, band_Hz }) => [toneKey(step, frequency_Hz), band_Hz]));

/** The worst of findings at several frequencies, as a finding over the band. */
export interface WorstOfBand {
  readonly finding: Finding;
  /** Those that it was taken from. */
  readonly of: readonly Finding[];
  /** Where nothing was found. */
  readonly missing_Hz: readonly number[];
}

/**
 * Of each quantity that was searched at several frequencies on the same terms, the worst. One that the run itself states
 * over the band is not made again.
 */
export function worstOfBands(findings: readonly Finding[]): WorstOfBand[] {
  const stated = new Set(findings.filter(({ terms }) => terms.over_Hz !== undefined).map(keyOf));
  const singles = findings.filter((finding) => {
    const { threshold_percent, over_Hz } = finding.terms;
    return threshold_percent !== undefined && over_Hz === undefined && !stated.has(keyOf(finding));
  });
  const groups = groupBy(singles, (one) => JSON.stringify([keyOf(one), one.setting.step_kind]));
  return [...groups.values()].flatMap(worstOf);
}

function keyOf({ quantity, setting, terms }: Finding): string {
  const { channel, load_ohm, driven, mains_V } = setting;
  return JSON.stringify([quantity, terms.threshold_percent, channel, load_ohm, driven, mains_V]);
}

function worstOf(of: readonly Finding[]): WorstOfBand[] {
  const frequencies = [...new Set(of.flatMap((finding) => frequencyOf(finding) ?? []))].sort((a, b) => a - b);
  const better = quantityNamed(of[0]!.quantity)?.better ?? 'neither';
  if (frequencies.length < 2 || better === 'neither') return [];
  const found = of.filter((finding) => numberOf(finding) !== null);
  const isWorse = (a: Finding, b: Finding) =>
    better === 'more' ? numberOf(a)! < numberOf(b)! : numberOf(a)! > numberOf(b)!;
  const worst = found.reduce((a, b) => (isWorse(b, a) ? b : a), found[0] ?? of[0]!);
  const missing = of.filter((finding) => numberOf(finding) === null);
  return [
    {
      finding: {
        ...worst,
        statistic: better === 'more' ? 'minimum' : 'maximum',
        terms: { ...worst.terms, over_Hz: [frequencies[0]!, frequencies.at(-1)!] },
      },
      of,
      missing_Hz: missing.flatMap((finding) => frequencyOf(finding) ?? []),
    },
  ];
}
