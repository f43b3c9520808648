import type { Band } from '../../measure/analysis.js';
import { type Claim, type ClaimTerms, NO_TERMS, sharedBy } from '../claim/claim.js';
import { bandWords, drivenCount, given } from '../claim/claim-words.js';
import { type CurveCrossing, restateDistortion } from './restate-distortion.js';
import { restateLoad, worked } from './restate-load.js';
import { kindOfAll, type RestatingStep, type SingleStep } from './restating-step.js';

/**
 * Puts a claim on other terms, one step a term: whose watts they are, the sort of power, the load, the distortion, the
 * channels driven, the band. A term that `to` leaves open stays as claimed; one that the claim leaves open is not
 * computed, and neither is anything behind it.
 *
 * @param curve the unit's own crossings under the claim's setting, where there are some
 * @returns no steps when the claim stands on these terms already
 */
export function restateClaim(
  claim: Claim,
  to: Partial<ClaimTerms>,
  curve: readonly CurveCrossing[] = [],
): RestatingStep[] {
  const steps: RestatingStep[] = [];
  const terms: ClaimTerms = { ...NO_TERMS, ...to };
  let current: Claim | null = claim;
  for (const restater of [perChannel, bridge, sort, load, distortion, driven, band]) {
    const step: SingleStep | null = restater(current, terms, curve);
    if (step === null) continue;
    steps.push({ ...step, so_far: kindOfAll([...steps, step]) });
    current = step.claim;
    if (current === null) break;
  }
  return steps;
}

function notComputed(what: string, assumes: string): SingleStep {
  return { what, kind: 'not-computed', arithmetic: '', assumes, power_W: null, range_W: null, claim: null };
}

/** The same figure, with another condition. */
function unchanged(what: string, kind: SingleStep['kind'], assumes: string, claim: Claim): SingleStep {
  const { power_W } = claim;
  return {
    what,
    kind,
    arithmetic: `${worked(power_W, 'W')}, unchanged`,
    assumes,
    power_W,
    range_W: null,
    claim,
  };
}

function perChannel(claim: Claim, to: ClaimTerms): SingleStep | null {
  if (to.per !== 'channel' || claim.per !== 'total') return null;
  const count = sharedBy(claim);
  const what = 'from the sum to one channel';
  if (count === null) return notComputed(what, 'the claim does not say how many channels share the power');
  const power_W = claim.power_W / count;
  return {
    what,
    kind: 'estimate',
    arithmetic: `${worked(claim.power_W, 'W')} / ${count} = ${worked(power_W, 'W')}`,
    assumes: 'all channels give the same',
    power_W,
    range_W: null,
    claim: { ...claim, power_W, per: 'channel' },
  };
}

/** The channels of a bridge each give half of the voltage at the whole current: half of the power into half of the load. */
function bridge(claim: Claim, to: ClaimTerms): SingleStep | null {
  if (to.per !== 'channel' || !claim.bridged) return null;
  const power_W = claim.power_W / 2;
  const load_ohm = claim.load_ohm === null ? null : claim.load_ohm / 2;
  const into = load_ohm === null ? 'half of the load' : given(load_ohm, 'ohm');
  return {
    what: `from a bridged pair to one of its channels into ${into}`,
    kind: 'exact',
    arithmetic: `${worked(claim.power_W, 'W')} / 2 = ${worked(power_W, 'W')}`,
    assumes: 'each channel of the pair gives half of the voltage',
    power_W,
    range_W: null,
    claim: { ...claim, power_W, load_ohm, bridged: null, per: 'channel' },
  };
}

function sort(claim: Claim, to: ClaimTerms): SingleStep | null {
  if (to.kind !== 'continuous' || claim.kind === null || claim.kind === 'continuous') return null;
  const restated: Claim = { ...claim, kind: 'continuous', burst_s: null };
  if (claim.kind === 'PMPO')
    return notComputed('from PMPO to continuous power', 'PMPO has no agreed meaning');
  if (claim.kind === 'peak') {
    const power_W = claim.power_W / 2;
    return {
      what: 'from the top of a sine to its mean',
      kind: 'upper-bound',
      arithmetic: `${worked(claim.power_W, 'W')} / 2 = ${worked(power_W, 'W')}`,
      assumes: "'peak' means the instantaneous power at the top of a sine; the word has no agreed meaning",
      power_W,
      range_W: null,
      claim: { ...restated, power_W },
    };
  }
  const assumes =
    'a supply gives no more for long than it gives for a moment; how much less, only a measurement tells';
  return unchanged(`from ${claim.kind} to continuous power`, 'upper-bound', assumes, restated);
}

function load(claim: Claim, to: ClaimTerms): SingleStep | null {
  if (to.load_ohm === null || claim.load_ohm === to.load_ohm) return null;
  if (claim.load_ohm === null)
    return notComputed(`into ${given(to.load_ohm, 'ohm')}`, 'the claim states no load');
  return restateLoad(claim, to.load_ohm);
}

function distortion(claim: Claim, to: ClaimTerms, curve: readonly CurveCrossing[]): SingleStep | null {
  const percent = to.distortion_percent;
  if (percent === null || claim.distortion_percent === percent) return null;
  if (claim.distortion_percent === null)
    return notComputed(`at ${given(percent, '%')}`, 'the claim states no distortion');
  return restateDistortion(claim, percent, curve);
}

function driven(claim: Claim, to: ClaimTerms): SingleStep | null {
  if (to.driven === null || claim.driven === to.driven) return null;
  const what = `with ${drivenCount(to.driven)}`;
  if (claim.driven === null) return notComputed(what, 'the claim does not say how many channels are driven');
  const fewer = claim.driven === 'all' || (to.driven !== 'all' && to.driven < claim.driven);
  if (!fewer)
    return notComputed(
      what,
      'how much a shared supply gives to more channels is never computed, only measured',
    );
  const assumes = 'a channel never gives less when fewer are driven';
  return unchanged(what, 'lower-bound', assumes, { ...claim, driven: to.driven });
}

function band(claim: Claim, to: ClaimTerms): SingleStep | null {
  const wanted = to.frequency_Hz;
  if (wanted === null || (claim.frequency_Hz && sameBand(claim.frequency_Hz, wanted))) return null;
  const what = `at ${bandWords(wanted)}`;
  if (claim.frequency_Hz === null) return notComputed(what, 'the claim states no frequency');
  const [low, high] = claim.frequency_Hz;
  if (wanted[0] < low || wanted[1] > high)
    return notComputed(
      what,
      'what a unit gives at frequencies that were not claimed is never computed, only measured',
    );
  const assumes = 'what is kept over a band is kept over a part of it';
  return unchanged(what, 'lower-bound', assumes, { ...claim, frequency_Hz: wanted });
}

const sameBand = (a: Band, b: Band): boolean => a[0] === b[0] && a[1] === b[1];
