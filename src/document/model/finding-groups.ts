import type { Finding, Terms } from '../../record/finding.js';
import type { QuantityName } from '../../record/quantities.js';
import { groupBy } from '../../units/group-by.js';
import { frequencyOf, placeWords } from './finding-words.js';
import { notesOf } from './reason-words.js';
import { capital, channelWords } from './wording.js';

/** Findings by what they have in common, groups and findings in the order they were found. */
export const groupsBy = (findings: readonly Finding[], key: (finding: Finding) => unknown): Finding[][] => [
  ...groupBy(findings, (finding) => JSON.stringify(key(finding))).values(),
];

/** The finding of a quantity, of a statistic where there are several, on the terms given. */
export const findingFor = (
  findings: readonly Finding[],
  quantity: QuantityName,
  { statistic, ...terms }: Terms & { readonly statistic?: Finding['statistic'] } = {},
): Finding | undefined =>
  findings.find(
    (one) =>
      one.quantity === quantity &&
      (statistic === undefined || one.statistic === statistic) &&
      (terms.threshold_percent === undefined || one.terms.threshold_percent === terms.threshold_percent) &&
      (terms.weighting === undefined || one.terms.weighting === terms.weighting),
  );

/** The findings of one channel. */
export const ofChannel = (findings: readonly Finding[], channel: number): Finding[] =>
  findings.filter(({ setting }) => setting.channel === channel);

/** The channels of findings, rising, those of all channels together left out. */
export const channelsOf = (findings: readonly Finding[]): number[] =>
  ascending(findings.flatMap(({ setting }) => (setting.channel === null ? [] : [setting.channel])));

/** The frequencies of findings, rising. */
export const frequenciesOf = (findings: readonly Finding[]): number[] =>
  ascending(findings.flatMap((finding) => frequencyOf(finding) ?? []));

/** The limits of findings, rising. */
export const thresholdsOf = (findings: readonly Finding[]): number[] =>
  ascending(findings.flatMap(({ terms }) => terms.threshold_percent ?? []));

const ascending = (values: readonly number[]): number[] => [...new Set(values)].sort((a, b) => a - b);

/**
 * What belongs to findings besides their figures, each sentence once with the channels it is about:
 * `Channels 1 and 2: …`, with places `15 kHz and 20 kHz, channel 1: …`.
 */
export function notesBelow(findings: readonly Finding[], places = false): string[] {
  const told = findings.flatMap((finding) => notesOf(finding).map((text) => ({ text, finding })));
  return [...new Set(told.map(({ text }) => text))].map((text) => {
    const about = told.filter((one) => one.text === text).map(({ finding }) => finding);
    const channels = channelsOf(about);
    const whose = channels.length === 0 ? 'all channels' : channelWords(channels);
    const at = places ? `${[...new Set(about.map(placeWords))].join(', ')}, ` : '';
    return capital(`${at}${whose}: ${text}`);
  });
}
