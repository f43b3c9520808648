import { gapKey, gapWords, type Untried, untried, within } from '../bounds/coverage.js';
import { doubtsOf } from '../bounds/doubts.js';
import { type Evidence, isFound, placeOf } from '../bounds/evidence.js';
import { classify, type PlainClass, type VerdictClass } from '../bounds/guard-band.js';
import { grouped } from '../bounds/trials.js';
import type { Claim } from '../claim/claim.js';
import { drivenCount, given } from '../claim/claim-words.js';
import { restateClaim } from '../restate/restate-claim.js';
import type { RestatingStep } from '../restate/restating-step.js';
import type { SettledTerms } from './claim-on-run.js';
import type { RunSetting } from './run-settings.js';
import { capital, reasonOf, tellingPower } from './verdict-reason.js';

/** What one setting of a run says about a claim. */
export interface Judgement {
  readonly state: VerdictClass;
  readonly reason: string;
  readonly required_W: number | null;
  readonly steps: readonly RestatingStep[];
  readonly deciding: Evidence | null;
  readonly notTested: readonly string[];
  readonly asRestated: VerdictClass | null;
}

/** One piece of evidence held against the requirement. */
interface Held {
  readonly evidence: Evidence;
  readonly state: PlainClass;
  /** A claim from a level up fails by a reading in between, whatever is kept higher up. */
  readonly lapsed: boolean;
}

/** A power counts as tried when it was requested or delivered to within this. */
const NEAR_ENOUGH = 0.9;

/**
 * Whether a piece says something about a power at all. One that only looked far below it does not: there noise and
 * crossover may exceed a limit that is kept again higher up.
 */
function tries(claim: Claim, piece: Evidence, required_W: number): boolean {
  if (lapse(claim, piece, required_W)) return true;
  return isBounded(piece) || piece.tried_W >= NEAR_ENOUGH * required_W;
}

/** Whether a piece knows where the limit ends: not by one reading far below, which alone tells of no clipping. */
const isBounded = ({ kept_W, most_W, passing, lowest_W, delivered_W }: Evidence): boolean =>
  most_W !== null && (kept_W !== null || (passing.length > 1 && delivered_W > lowest_W));

/** Judges a claim by one setting of a run. */
export function judgeSetting(terms: SettledTerms, setting: RunSetting): Judgement {
  const { claim } = terms;
  const steps = onTerms(claim, setting);
  const required_W = steps.at(-1)?.power_W ?? (steps.length === 0 ? claim.power_W : null);
  if (required_W === null) {
    const { assumes } = steps.at(-1)!;
    return { ...NOTHING, reason: `Not tested. ${capital(assumes)}.`, steps, notTested: [assumes] };
  }
  const held = setting.evidence
    .filter((piece) => within(piece.nominal_Hz, terms.band) && tries(claim, piece, required_W))
    .map((evidence) => holdAgainst(claim, evidence, required_W));
  const gaps = gapsOf(terms, setting, { held, required_W });
  const plain = together(claim, held, gaps);
  const state = stillStanding(terms, setting, plain);
  const deciding = decidingOf(claim, held, plain, required_W);
  return {
    state,
    reason: reasonOf({ terms, setting, required_W, plain, state, deciding, gaps }),
    required_W,
    steps,
    deciding,
    notTested: [...gaps, ...differences(claim, setting)],
    asRestated: steps.length > 0 || !setting.same ? plain : null,
  };
}

const NOTHING = { state: 'not tested', required_W: null, deciding: null, asRestated: null } as const;

/** The claim per channel, continuous, into the setting's load. */
function onTerms(claim: Claim, setting: RunSetting): RestatingStep[] {
  const shared =
    claim.driven === 'all' || claim.driven === null ? { ...claim, driven: setting.driven } : claim;
  return restateClaim(shared, { per: 'channel', kind: 'continuous', load_ohm: setting.load_ohm });
}

/** A doubt about a reading leaves the answer open, except where it works for it. */
function holdAgainst(claim: Claim, piece: Evidence, required_W: number): Held {
  const evidence = withLevels(claim, piece, required_W);
  const { least_W, most_W, share, flags } = evidence;
  const lapsed = evidence !== piece;
  const held = (state: PlainClass): Held => ({ evidence, state, lapsed });
  const shows = (power_W: number | null, state: PlainClass) =>
    power_W !== null && classify(power_W, share === null ? null : share * power_W, required_W) === state;
  if (lapsed && evidence.conflict?.exceeded.point === evidence.points[0]) return held('inconclusive');
  if (shows(least_W, 'met') && isLong(claim, evidence) && doubtsOf(flags, 'kept').length === 0)
    return held('met');
  const exceeded = shows(most_W, 'not met') || exceedsThroughout(evidence, required_W);
  return held(exceeded && doubtsOf(flags, 'exceeded').length === 0 ? 'not met' : 'inconclusive');
}

/** Exceeded at every level that was tried, some of them below the required power and some above it. */
const exceedsThroughout = ({ never_kept, passing, share }: Evidence, required_W: number): boolean =>
  never_kept &&
  share !== null &&
  passing.some(({ power_W }) => power_W * (1 - share) >= required_W) &&
  passing.some(({ power_W }) => power_W * (1 + share) < required_W);

/** A reading above the limit at a level from which on the claim says it is kept. */
const lapse = ({ from_W }: Claim, { passing }: Evidence, required_W: number) =>
  from_W === null ? undefined : passing.find(({ power_W }) => power_W >= from_W && power_W < required_W);

/** Where a claim holds from a level up, a reading above the limit anywhere in between counts. */
function withLevels(claim: Claim, piece: Evidence, required_W: number): Evidence {
  const worst = lapse(claim, piece, required_W);
  if (!worst || (piece.most_W !== null && piece.most_W <= worst.power_W)) return piece;
  return {
    ...piece,
    ...{ least_W: null, most_W: worst.power_W, inferred: '', points: [worst.point] },
  };
}

const isLong = ({ duration_s }: Claim, { seconds }: Evidence): boolean =>
  duration_s === null || (seconds !== null && seconds >= 0.999 * duration_s);

/** What of the claim's band, levels and duration was not tried, channel by channel. */
function gapsOf(
  { claim, band }: SettledTerms,
  setting: RunSetting,
  { held, required_W }: { readonly held: readonly Held[]; readonly required_W: number },
): string[] {
  const channels = [...new Set(setting.evidence.map(({ channel }) => channel))];
  const near = held.map(({ evidence }) => evidence);
  const gaps = channels.flatMap((channel) => {
    const gapsOver = (pieces: readonly Evidence[]) => {
      const own = pieces.filter((piece) => piece.channel === channel);
      return untried(
        own.map(({ nominal_Hz }) => nominal_Hz),
        band,
      );
    };
    const keysOf = (pieces: readonly Evidence[]) => new Set(gapsOver(pieces).map(gapKey));
    const [atAnyLevel, atThisLevel] = [keysOf(setting.evidence), keysOf(near)];
    // What was tried, but far from this power, has not been left out altogether.
    const isFarOff = (key: string) => atThisLevel.has(key) && !atAnyLevel.has(key);
    return gapsOver(near.filter((evidence) => isLong(claim, evidence))).map((gap) => ({
      channel,
      gap,
      near: isFarOff(gapKey(gap)) ? `near ${given(required_W, 'W')}` : '',
    }));
  });
  const forLong = claim.duration_s === null ? '' : ` for ${given(claim.duration_s, 's')}`;
  const sentences = togetherSaid(gaps).flatMap(({ gaps: same, near: where, of }) =>
    gapWords(same, where).map(
      (words) => `${words}${forLong}${of.length < channels.length ? ` on channel ${of.join(', ')}` : ''}`,
    ),
  );
  const { from_W } = claim;
  const lowest_W = Math.min(...setting.evidence.map((piece) => piece.lowest_W));
  return from_W === null || lowest_W <= from_W * LEVEL_SLACK
    ? sentences
    : [...sentences, `not measured down to ${given(from_W, 'W')}`];
}

interface ChannelGap {
  readonly channel: number;
  readonly gap: Untried;
  readonly near: string;
}

/** Gaps of the same channels, and near the same power, as one. */
function togetherSaid(gaps: readonly ChannelGap[]) {
  const each = grouped(gaps, ({ gap, near }) => `${near} ${gapKey(gap)}`).map((same) => ({
    gap: same[0]!.gap,
    near: same[0]!.near,
    of: same.map(({ channel }) => channel),
  }));
  return grouped(each, ({ near, of }) => `${near} ${of.join()}`).map((same) => ({
    ...same[0]!,
    gaps: same.map(({ gap }) => gap),
  }));
}

/** A level is set by the gain found before, to within this. */
const LEVEL_SLACK = 1.05;

/** One failure fails; to meet it, every frequency of every channel must, by at least one piece of evidence. */
function together(claim: Claim, held: readonly Held[], gaps: readonly string[]): VerdictClass {
  const failed = held.filter((one) => one.state === 'not met' && !isContradicted(claim, held, one));
  if (failed.length > 0) return claim.per === 'total' && !allFail(held) ? 'inconclusive' : 'not met';
  if (gaps.length > 0) return 'not tested';
  return open(claim, held).length === 0 ? 'met' : 'inconclusive';
}

/** Steps that read the contrary at one place leave it open. Where the claim says how long, only those as long count. */
function isContradicted(claim: Claim, held: readonly Held[], { evidence, state, lapsed }: Held): boolean {
  if (claim.duration_s !== null || lapsed) return false;
  return held.some(
    (other) =>
      placeOf(other.evidence) === placeOf(evidence) &&
      other.state !== state &&
      (other.state !== 'inconclusive' || evidence.conflict !== null),
  );
}

/** A sum is missed for certain only where every channel misses its share. */
function allFail(held: readonly Held[]): boolean {
  const channels = new Set(held.map(({ evidence }) => evidence.channel));
  return held.some(({ evidence: { nominal_Hz } }) => {
    const failing = held.filter(
      ({ evidence, state }) => state === 'not met' && evidence.nominal_Hz === nominal_Hz,
    );
    return new Set(failing.map(({ evidence }) => evidence.channel)).size === channels.size;
  });
}

/** The pieces of those channels and frequencies at which no piece shows that the claim is met, or another shows the contrary. */
function open(claim: Claim, held: readonly Held[]): Held[] {
  const met = held.filter((one) => one.state === 'met' && !isContradicted(claim, held, one));
  const places = new Set(met.map(({ evidence }) => placeOf(evidence)));
  return held.filter(({ evidence }) => !places.has(placeOf(evidence)));
}

/** What of a plain answer still stands when the conditions differ. */
function stillStanding(
  { claim, failsByLimit }: SettledTerms,
  setting: RunSetting,
  plain: VerdictClass,
): VerdictClass {
  const sort = claim.kind ?? 'continuous';
  if (plain === 'not met' && sort !== 'continuous') return 'not tested';
  // A claim that states no limit may mean a looser one than a strict one that was tried.
  if (plain === 'not met' && !failsByLimit) return 'inconclusive';
  if (plain === 'met' && (!setting.provesMet || sort === 'peak')) return 'inconclusive';
  if (plain === 'not met' && !setting.provesNotMet) return 'inconclusive';
  return plain;
}

/** The piece with the least margin among those that made the answer; where one place has several, a power found counts. */
function decidingOf(
  claim: Claim,
  held: readonly Held[],
  plain: VerdictClass,
  required_W: number,
): Evidence | null {
  const wanted =
    plain === 'not met' || plain === 'met' ? held.filter(({ state }) => state === plain) : open(claim, held);
  const pieces = (wanted.length > 0 ? wanted : held)
    .map(({ evidence }) => evidence)
    .filter(({ least_W, most_W }) => least_W !== null || most_W !== null);
  const telling = pieces.filter(
    (piece) => isFound(piece) || !pieces.some((other) => isFound(other) && placeOf(other) === placeOf(piece)),
  );
  if (telling.length === 0) return null;
  const power = (evidence: Evidence) => tellingPower(evidence, required_W);
  return telling.reduce((worst, one) => (power(one) < power(worst) ? one : worst));
}

function differences(claim: Claim, setting: RunSetting): string[] {
  const found: string[] = [];
  if (claim.load_ohm !== setting.load_ohm)
    found.push(`no load of ${given(claim.load_ohm!, 'ohm')} as claimed`);
  if (!setting.same && typeof claim.driven === 'number' && claim.driven !== setting.driven)
    found.push(`not with ${drivenCount(claim.driven)} as claimed, but with ${setting.driven}`);
  if (!setting.same && claim.driven === 'all' && setting.taken.length === 0)
    found.push(`not with all channels driven as claimed, but with ${setting.driven}`);
  if (claim.kind !== null && claim.kind !== 'continuous')
    found.push(`${claim.kind} power was not measured, only continuous power`);
  return found;
}
