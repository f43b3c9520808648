import type { Band } from '../../measure/analysis.js';
import { formatQuantity } from '../../units/format.js';
import type { Unit } from '../../units/quantity.js';
import type { ClaimedSupply, ClaimTerms } from './claim.js';

/** A value with the figures that it was given with, up to six. */
export const given = (value: number, unit: Unit): string =>
  formatQuantity(value, unit, { figures: 6, trim: true });

/** `1 kHz`, or `20 Hz to 20 kHz`. */
export const bandWords = ([low, high]: Band): string =>
  low === high ? given(low, 'Hz') : `${given(low, 'Hz')} to ${given(high, 'Hz')}`;

/** `1 channel driven`, `all channels driven`. */
export const drivenCount = (driven: number | 'all'): string =>
  driven === 1 ? '1 channel driven' : `${driven} channels driven`;

const supplyWords = ({ kind, voltage_V, frequency_Hz }: ClaimedSupply): string =>
  kind === 'dc'
    ? `${given(voltage_V, 'V')} supply`
    : `${given(voltage_V, 'V')}${frequency_Hz === null ? '' : ` ${given(frequency_Hz, 'Hz')}`} mains`;

/** Three decimals behind watts, ohms or hertz may be meant as thousands: a fourth makes them decimals. */
const AMBIGUOUS = /(?<![\d.])[1-9]\d{0,2}\.\d{3}(?= (?:m?W|ohm|Hz)(?![a-z]))/g;

/** A claim, or conditions without a power, on one line; `parseClaims` reads it back. */
export function claimWords(terms: ClaimTerms): string {
  const { power_W, from_W, channels, kind, per, duration_s, burst_s } = terms;
  const power = power_W === null ? [] : [given(power_W, 'W')];
  const watts = from_W === null ? power : [`${given(from_W, 'W')} to ${power[0] ?? 'rated power'}`];
  const whose = channels === null ? (per === 'channel' ? ['per channel'] : []) : [`x ${channels}`];
  // A length of bursts says by itself that they are bursts.
  const sort = kind === 'burst' && burst_s !== null ? null : kind;
  return [
    [...watts, ...whose, ...(sort === null ? [] : [sort === 'maximum' ? 'maximum power' : sort])].join(' '),
    per === 'total' ? 'total' : '',
    ...conditionWords(terms),
    duration_s === null ? '' : given(duration_s, 's'),
    burst_s === null ? '' : `${given(burst_s, 's')} burst`,
    terms.bridged ? 'bridged' : '',
    terms.supply === null ? '' : supplyWords(terms.supply),
    terms.standard === null ? '' : `standard ${terms.standard}`,
  ]
    .filter((part) => part !== '')
    .join(', ')
    .replace(AMBIGUOUS, '$&0');
}

function conditionWords(terms: ClaimTerms): string[] {
  const { load_ohm, distortion_percent, distortion, frequency_Hz, driven } = terms;
  const percent = distortion_percent === null ? '' : given(distortion_percent, '%');
  return [
    load_ohm === null ? '' : given(load_ohm, 'ohm'),
    [percent, distortion ?? ''].filter((part) => part !== '').join(' '),
    frequency_Hz === null ? '' : bandWords(frequency_Hz),
    driven === null ? '' : drivenCount(driven),
  ];
}

/** What a claim leaves open, one sentence each, the most telling first. Empty when it states all that matters. */
export function missingOf(claim: ClaimTerms): string[] {
  const { distortion_percent, frequency_Hz, channels, driven, per, kind } = claim;
  const open: readonly (readonly [boolean, string])[] = [
    [claim.load_ohm === null, 'no load stated'],
    [distortion_percent === null, 'no distortion stated'],
    [
      distortion_percent !== null && claim.distortion === null,
      'not stated whether the distortion is THD or THD+N',
    ],
    [frequency_Hz === null, 'no frequency or band stated'],
    [driven === null && channels !== 1, 'not stated how many channels are driven at once'],
    [
      per === null && driven !== 1 && !claim.bridged,
      'not stated whether the power is that of one channel or of all together',
    ],
    [kind === null, 'not stated whether the power is continuous'],
    [kind === 'burst' && claim.burst_s === null, 'no length of the bursts stated'],
    [(kind === null || kind === 'continuous') && claim.duration_s === null, 'no duration stated'],
    [claim.supply === null, 'no mains voltage stated'],
    [claim.standard === null, 'no standard named'],
  ];
  const sentences = open.filter(([missing]) => missing).map(([, sentence]) => sentence);
  return kind === 'peak' || kind === 'PMPO' ? [meaningOf(kind, claim.power_W), ...sentences] : sentences;
}

/** Words of power that no standard defines, and what can be made of them. */
function meaningOf(kind: 'peak' | 'PMPO', power_W: number | null): string {
  if (kind === 'PMPO') return 'PMPO has no agreed meaning; no continuous power follows from it';
  const half = power_W === null ? 'half' : given(power_W / 2, 'W');
  return `'peak' has no agreed meaning; it is ${half} continuous if it means the instantaneous power of a sine`;
}
