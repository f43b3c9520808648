import type { Band } from '../../measure/analysis.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { purposeOf } from '../../schema/sequence-purpose.js';
import { untried } from '../bounds/coverage.js';
import type { DistortionMeasure } from '../bounds/trials.js';
import type { Claim } from '../claim/claim.js';
import { bandWords, given } from '../claim/claim-words.js';
import { TRADE_RULE } from '../protocol/trade-rule.js';

/** What a claim asks, with what it leaves open settled. */
export interface SettledTerms {
  /** The claim, with the load that it is judged into. */
  readonly claim: Claim & { readonly load_ohm: number };
  readonly limit_percent: number;
  readonly measure: DistortionMeasure;
  readonly band: Band;
  /** Nobody can mean a looser limit in good faith, so that exceeding it fails the claim. */
  readonly failsByLimit: boolean;
  /** Load, limit and band that were assumed, in short: `8 ohm`. They stand beside the verdict. */
  readonly assumed: readonly string[];
  /** What was left open and how it was taken, in words. */
  readonly taken: readonly string[];
}

/** Where the trade looks first. */
const MIDDLE_Hz = 1000;
/** The loosest limit of ordinary ratings (common practice, from memory; also that of the trade rule). */
const CUSTOMARY_PERCENT = TRADE_RULE.limit_percent;

/**
 * Settles what a claim leaves open by what the run was made with: its one load, or that of the protocol it follows; its
 * highest distortion limit; the band of its protocol if the run covers it, else the frequency nearest to 1 kHz. Where the
 * run itself leaves it open, as one with several loads does, the claim cannot be judged.
 */
export function openTerms(
  claim: Claim,
  record: RunRecord,
): SettledTerms | { readonly missing: readonly string[] } {
  const byRule = purposeOf(record.sequence.text).protocol === 'us-trade-rule';
  const load = loadOf(claim, record, byRule);
  const band = bandOf(claim, record, byRule);
  const missing = [
    ...(band === null ? ['the run has no points'] : []),
    ...('several' in load && band !== null ? [severalLoads(load.several)] : []),
    ...(claim.bridged ? ['the run does not tell whether channels were bridged'] : []),
  ];
  if (band === null || 'several' in load || missing.length > 0) return { missing };
  const limit = limitOf(claim, record);
  const { load_ohm } = load;
  const open = [
    {
      is: claim.load_ohm === null,
      short: given(load_ohm, 'ohm'),
      long: `load not stated: assumed ${given(load_ohm, 'ohm')}`,
    },
    {
      is: claim.distortion_percent === null,
      short: `${given(limit.percent, '%')} ${claim.distortion ?? 'THD+N'}`,
      long: `distortion not stated: assumed ${given(limit.percent, '%')}, ${limit.from}`,
    },
    {
      is: claim.frequency_Hz === null,
      short: bandWords(band),
      long: `frequency not stated: assumed ${bandWords(band)}`,
    },
  ].filter(({ is }) => is);
  return {
    claim: { ...claim, load_ohm },
    limit_percent: limit.percent,
    measure: claim.distortion ?? 'THD+N',
    band,
    failsByLimit: limit.fails,
    assumed: open.map(({ short }) => short),
    taken: [
      ...open.map(({ long }) => long),
      ...(claim.distortion === null ? ['THD or THD+N not stated: assumed THD+N'] : []),
      ...(claim.per === null ? ['assumed per channel (not stated)'] : []),
      ...(claim.kind === null ? ['assumed continuous (not stated)'] : []),
    ],
  };
}

type Load = { readonly load_ohm: number } | { readonly several: readonly number[] };

function loadOf({ load_ohm }: Claim, { points }: RunRecord, byRule: boolean): Load {
  if (load_ohm !== null) return { load_ohm };
  const loads = [...new Set(points.map((point) => point.load_ohm))].sort((a, b) => b - a);
  if (byRule && loads.includes(TRADE_RULE.load_ohm)) return { load_ohm: TRADE_RULE.load_ohm };
  return loads.length === 1 ? { load_ohm: loads[0]! } : { several: loads };
}

const severalLoads = (loads: readonly number[]): string =>
  `the claim states no load, and the run has several (${loads.map((ohms) => given(ohms, 'ohm')).join(', ')})`;

interface Limit {
  readonly percent: number;
  readonly from: string;
  readonly fails: boolean;
}

/** A claim may mean a looser limit than a strict one of the run; and where the run has none, nobody set out to find where it fails. */
function limitOf({ distortion_percent }: Claim, record: RunRecord): Limit {
  if (distortion_percent !== null) return { percent: distortion_percent, from: 'as claimed', fails: true };
  const loosest = loosestMark(record);
  return loosest === null
    ? { percent: CUSTOMARY_PERCENT, from: 'as is customary; the run has no limit', fails: false }
    : { percent: loosest, from: 'the highest limit of the run', fails: loosest >= CUSTOMARY_PERCENT };
}

function loosestMark(record: RunRecord): number | null {
  const marks = findingsOf(record).flatMap(({ quantity, terms }) =>
    quantity === 'max-power' && terms.threshold_percent !== undefined ? [terms.threshold_percent] : [],
  );
  return marks.length === 0 ? null : Math.max(...marks);
}

function bandOf({ frequency_Hz }: Claim, { points }: RunRecord, byRule: boolean): Band | null {
  if (points.length === 0) return null;
  if (frequency_Hz !== null) return frequency_Hz;
  const nominals = points.map(({ nominal_Hz }) => nominal_Hz);
  const ofRule: Band = [TRADE_RULE.low_Hz, TRADE_RULE.high_Hz];
  if (byRule && untried(nominals, ofRule).length === 0) return ofRule;
  const off = (one_Hz: number) => Math.abs(Math.log(one_Hz / MIDDLE_Hz));
  const nearest = nominals.reduce((best, one) => (off(one) < off(best) ? one : best));
  return [nearest, nearest];
}
