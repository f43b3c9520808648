import type { Interval } from '../../record/finding.js';
import { formatQuantity } from '../../units/format.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import type { Conflict } from '../bounds/conflict.js';
import { doubtsOf, doubtWords } from '../bounds/doubts.js';
import type { Evidence } from '../bounds/evidence.js';
import type { VerdictClass } from '../bounds/guard-band.js';
import type { Witness } from '../bounds/trials.js';
import { bandWords, given } from '../claim/claim-words.js';
import { plainPower, powerWithin } from '../power-words.js';
import { worked } from '../restate/restate-load.js';
import type { SettledTerms } from './claim-on-run.js';
import { type RunSetting, settingName } from './run-settings.js';

/** What a judgement is told from. */
export interface ReasonGround {
  readonly terms: SettledTerms;
  readonly setting: RunSetting;
  readonly required_W: number;
  /** How the figures compare with the requirement. */
  readonly plain: VerdictClass;
  /** What of that stands as a verdict. */
  readonly state: VerdictClass;
  readonly deciding: Evidence | null;
  readonly gaps: readonly string[];
}

/** A judgement in words: `Met. Measured 104.8 W ± 1.1 W at 1 kHz (channel 2).` */
export function reasonOf(told: ReasonGround): string {
  const { terms, required_W, plain, state, deciding, gaps } = told;
  if (state === 'not tested' && plain === 'not tested')
    return `Not tested. ${capital(gaps.join('; '))}${requiredWords(told)}.${assumedWords(terms)}`;
  const restated =
    required_W === terms.claim.power_W
      ? ''
      : `; ${worked(required_W, 'W')} required by the claim as restated`;
  const figure = deciding ? ` ${figureOf(deciding, required_W)}${restated}` : '';
  const why = state !== plain ? whyNot(told) : state === 'inconclusive' ? whyOpen(told) : '';
  const because = why === '' ? '.' : deciding ? `; ${why}.` : `: ${why}.`;
  return `${capital(state)}${figure === '' ? '' : '.'}${figure}${because}${assumedWords(terms)}`;
}

/** What the claim asks on the terms of the run; where they were assumed they stand behind. */
function requiredWords({ terms, setting, required_W }: ReasonGround): string {
  const { claim, limit_percent, measure, band, assumed } = terms;
  if (assumed.length > 0 && required_W === claim.power_W) return '';
  const limit = `${given(limit_percent, '%')} ${measure}`;
  return ` (required: ${worked(required_W, 'W')} at ${limit}, ${bandWords(band)}, ${settingName(setting)})`;
}

const assumedWords = ({ assumed }: SettledTerms): string =>
  assumed.length === 0 ? '' : ` Assumed: ${assumed.join(', ')} (not stated).`;

/** `readings contradict each other: 0.08 % at 99.3 W (point 31) and 0.14 % at 95.1 W (point 40)`. */
export const conflictWords = ({ kept, exceeded }: Conflict): string =>
  `readings contradict each other: ${witnessWords(kept)} and ${witnessWords(exceeded)}`;

/** `0.14 % at 95.1 W (point 40)`. */
export const witnessWords = ({ percent, power_W, point }: Witness): string =>
  `${formatQuantity(percent, '%')} at ${plainPower(power_W)} (point ${point})`;

/** `from 22 W to 31 W`, `at 50 mW`. */
export const intervalWords = ([low_W, high_W]: Interval): string => {
  const [low, high] = [plainPower(low_W), plainPower(high_W)];
  return low === high ? `at ${low}` : `from ${low} to ${high}`;
};

/** Of least and most the one that says more about the requirement. */
export function tellingPower({ least_W, most_W }: Evidence, required_W: number): number {
  if (most_W !== null && most_W < required_W) return most_W;
  return least_W ?? most_W ?? 0;
}

export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function figureOf(evidence: Evidence, required_W: number): string {
  const { least_W, most_W, share, channel, nominal_Hz } = evidence;
  const power_W = tellingPower(evidence, required_W);
  const bound = least_W === most_W ? '' : power_W === least_W ? 'at least ' : 'at most ';
  const within = powerWithin(power_W, share === null ? null : share * power_W);
  const inferred = evidence.inferred !== '' && power_W !== evidence.kept_W;
  const lead = inferred ? 'By the clipping model' : 'Measured';
  return `${lead} ${bound}${within} at ${frequencyWords(nominal_Hz)} (channel ${channel})`;
}

function whyOpen({ terms, deciding, required_W }: ReasonGround): string {
  if (!deciding) return 'the distortion read is within its own uncertainty of the limit';
  if (deciding.share === null) return 'no uncertainty is stated, so this cannot be decided';
  if (deciding.conflict) return conflictWords(deciding.conflict);
  const power_W = tellingPower(deciding, required_W);
  const [doubt] = doubtsOf(deciding.flags, power_W >= required_W ? 'kept' : 'exceeded');
  if (doubt) return doubtWords(doubt, deciding);
  if (deciding.stopped)
    return `the output no longer follows the drive (${worked(deciding.stopped.behind_dB, 'dB')} behind)`;
  if (terms.claim.per === 'total') return 'the claim is of all channels together';
  return deciding.least_W === deciding.most_W
    ? 'the claim lies within the uncertainty'
    : 'the run went no further';
}

function whyNot({ terms, setting, plain }: ReasonGround): string {
  const { claim, limit_percent, failsByLimit } = terms;
  if (claim.kind !== null && claim.kind !== 'continuous')
    return `${claim.kind} power was not measured, only continuous power`;
  if (plain === 'not met' && !failsByLimit)
    return `the claim states no distortion and may mean more than ${given(limit_percent, '%')}`;
  const less = plain === 'met' ? 'less' : 'more';
  return `that was with ${settingName(setting)}, which asks ${less} of the unit than the claim does`;
}
