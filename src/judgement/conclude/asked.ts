import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import type { Asks, Purpose } from '../../schema/sequence-purpose.js';
import { type Evidence, isFound } from '../bounds/evidence.js';
import type { Claim } from '../claim/claim.js';
import { TRADE_RULE } from '../protocol/trade-rule.js';
import { searchedLimits } from '../rating/rating-limits.js';

/** What the sequence says that it asks; else a claim where there is one, fitness where silence was listened to and no limit was looked for. */
export function askedOf(
  record: RunRecord,
  evidence: readonly Evidence[],
  { asks }: Purpose,
  claimed: boolean,
): Asks {
  if (asks !== undefined) return asks;
  if (claimed) return 'claim';
  const listened = findingsOf(record).some(({ quantity }) => quantity === 'noise');
  return listened && !evidence.some(isFound) ? 'fit-for-use' : 'power';
}

/** The limit of distortion that the run is about: that of its claim, of the rule that it follows, or of its only search over the band; else null. */
export function askedLimit(record: RunRecord, { protocol }: Purpose, claim: Claim | null): number | null {
  if (claim !== null && claim.distortion_percent !== null) return claim.distortion_percent;
  if (protocol === 'us-trade-rule') return TRADE_RULE.limit_percent;
  const searched = searchedLimits(record);
  return searched.length === 1 ? searched[0]! : null;
}
