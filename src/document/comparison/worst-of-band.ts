import { type Finding, numberOf } from '../../record/finding.js';
import { quantityNamed } from '../../record/quantities.js';
import { groupBy } from '../../units/group-by.js';
import { frequencyOf } from '../model/finding-words.js';

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
