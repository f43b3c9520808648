import type { Interval } from '../record/finding.js';
import { formatQuantity } from '../units/format.js';
import type { Claim } from './claim.js';
import type { SettledTerms } from './claim-on-run.js';
import { bandWords, given } from './claim-words.js';
import type { Conflict } from './conflict.js';
import { doubtsOf, doubtWords } from './doubts.js';
import type { Evidence } from './evidence.js';
import type { VerdictClass } from './guard-band.js';
import type { Witness } from './looks.js';
import { powerWithin } from './power-words.js';
import { worked } from './restate-load.js';
import { type RunSetting, settingName } from './run-settings.js';

/** What a judgement is told from. */
export interface Told {
  readonly claim: Claim;
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

/** A judgement in one sentence: `Met: 104.8 W ± 1.1 W at 1 kHz, channel 2 (step climb); 100 W claimed.` */
export function reasonOf(told: Told): string {
  const { claim, terms, setting, required_W, plain, state, deciding, gaps } = told;
  if (state === 'not tested' && plain === 'not tested') {
    const limit = `${given(terms.limit_percent, '%')} ${terms.measure}`;
    const asked = `${worked(required_W, 'W')} at ${limit}, ${bandWords(terms.band)}, ${settingName(setting)}`;
    return `Not tested: ${gaps.join('; ')} (required: ${asked}).`;
  }
  const figure = deciding ? `${figureOf(deciding, required_W)}; ` : '';
  const against = required_W === claim.power_W ? 'claimed' : 'required by the claim as restated';
  const words = `${figure}${worked(required_W, 'W')} ${against}`;
  if (state === plain) return `${capital(state)}: ${words}${state === 'inconclusive' ? whyOpen(told) : ''}.`;
  return `${capital(state)}: ${words}, but ${whyNot(told)}.`;
}

/** `steps climb and warm contradict each other: 0.08 % at 99.3 W (point 31), 0.14 % at 95.1 W (point 40)`. */
export function conflictWords({ kept, exceeded }: Conflict): string {
  return `steps ${kept.step} and ${exceeded.step} contradict each other: ${witnessWords(kept)}, ${witnessWords(exceeded)}`;
}

/** `0.14 % at 95.1 W (point 40)`. */
export const witnessWords = ({ percent, power_W, point }: Witness): string =>
  `${formatQuantity(percent, '%')} at ${worked(power_W, 'W')} (point ${point})`;

/** `from 22 W to 31 W`, `at 50 mW`. */
export const intervalWords = ([low_W, high_W]: Interval): string =>
  low_W === high_W
    ? `at ${formatQuantity(low_W, 'W')}`
    : `from ${formatQuantity(low_W, 'W')} to ${formatQuantity(high_W, 'W')}`;

/** Of least and most the one that says more about the requirement. */
export function tellingPower({ least_W, most_W }: Evidence, required_W: number): number {
  if (most_W !== null && most_W < required_W) return most_W;
  return least_W ?? most_W ?? 0;
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function figureOf(evidence: Evidence, required_W: number): string {
  const { least_W, most_W, share, channel, frequency_Hz, step } = evidence;
  const power_W = tellingPower(evidence, required_W);
  const bound = least_W === most_W ? '' : power_W === least_W ? 'at least ' : 'at most ';
  const within = powerWithin(power_W, share === null ? null : share * power_W);
  const inferred = evidence.inferred === '' || power_W === evidence.kept_W ? '' : `, ${evidence.inferred}`;
  return `${bound}${within} at ${worked(frequency_Hz, 'Hz')}, channel ${channel} (step ${step})${inferred}`;
}

function whyOpen({ claim, deciding, required_W }: Told): string {
  if (!deciding) return ', and the distortion read is within its own uncertainty of the limit';
  if (deciding.share === null) return ', and without an uncertainty nothing can be told';
  if (deciding.conflict) return `, and ${conflictWords(deciding.conflict)}`;
  const power_W = tellingPower(deciding, required_W);
  const [doubt] = doubtsOf(deciding.flags, power_W >= required_W ? 'kept' : 'exceeded');
  if (doubt) return `, and ${doubtWords(doubt)}`;
  if (deciding.stopped)
    return `, and the output no longer follows the drive (${worked(deciding.stopped.behind_dB, 'dB')} behind)`;
  if (claim.per === 'total') return ', and the claim is of all channels together';
  return deciding.least_W === deciding.most_W
    ? ', within the guard band'
    : ', and the run did not go further';
}

function whyNot({ claim, terms, setting, plain }: Told): string {
  if (claim.kind !== null && claim.kind !== 'continuous')
    return `${claim.kind} power was not measured, only continuous power`;
  if (plain === 'not met' && claim.distortion_percent === null)
    return `the claim states no distortion and may mean more than ${given(terms.limit_percent, '%')}`;
  const less = plain === 'met' ? 'less' : 'more';
  return `that was with ${settingName(setting)}, which asks ${less} of the unit than the claim does`;
}
