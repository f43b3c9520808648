import { groupBy } from '../../units/group-by.js';
import type { Evidence } from '../bounds/evidence.js';
import type { Claim } from '../claim/claim.js';
import { drivenCount, given } from '../claim/claim-words.js';

/** One load with one number of channels driven, and how hard that is beside what is claimed. */
export interface RunSetting {
  readonly load_ohm: number;
  readonly driven: number;
  readonly evidence: readonly Evidence[];
  /** Load and channels driven are those of the claim. */
  readonly same: boolean;
  /** Keeping the power here means keeping it as claimed: nothing is easier here. */
  readonly provesMet: boolean;
  /** Not keeping it here means not keeping it as claimed: nothing is harder here. */
  readonly provesNotMet: boolean;
  /** What had to be taken for what the claim says of its channels. */
  readonly taken: readonly string[];
}

/**
 * The settings of a run, those nearest to the claim first. `all` channels are as many as the run ever drove at
 * once; where the claim does not say, the fewest that the run drove are taken, in its favour.
 */
export function settingsFor(claim: Claim, evidence: readonly Evidence[]): RunSetting[] {
  const groups = groupBy(evidence, ({ load_ohm, driven }) => `${load_ohm} ${driven.length}`);
  const counts = evidence.map(({ driven }) => driven.length);
  const wanted = wantedCount(claim, counts);
  return [...groups.values()]
    .map((group) => settingOf(claim, group, wanted))
    .sort((a, b) => distance(a, claim, wanted.count) - distance(b, claim, wanted.count));
}

interface Wanted {
  readonly count: number;
  readonly taken: readonly string[];
}

function wantedCount(claim: Claim, counts: readonly number[]): Wanted {
  if (typeof claim.driven === 'number') return { count: claim.driven, taken: [] };
  const [fewest, most] = [Math.min(...counts), Math.max(...counts)];
  if (claim.driven === 'all')
    return {
      count: Math.max(most, claim.channels ?? 0),
      taken:
        claim.channels === null
          ? [`all channels: taken as ${most}, the most that the run drove at once`]
          : [],
    };
  return {
    count: fewest,
    taken: [`channels driven not stated: taken as ${drivenCount(fewest)}, the fewest of the run`],
  };
}

function settingOf(claim: Claim, evidence: readonly Evidence[], wanted: Wanted): RunSetting {
  const { load_ohm, driven } = evidence[0]!;
  const [ohms, count] = [load_ohm / claim.load_ohm!, driven.length / wanted.count];
  return {
    load_ohm,
    driven: driven.length,
    evidence,
    same: ohms === 1 && count === 1,
    provesMet: ohms <= 1 && count >= 1,
    provesNotMet: ohms >= 1 && count <= 1,
    taken: wanted.taken,
  };
}

/** Another number of channels weighs less than another load: it needs no arithmetic. */
function distance(setting: RunSetting, claim: Claim, count: number): number {
  const ohms = Math.abs(Math.log2(setting.load_ohm / claim.load_ohm!));
  return ohms * 100 + (ohms > 0 ? 1000 : 0) + Math.abs(setting.driven - count);
}

/** `8 ohm, 2 channels driven`. */
export const settingName = ({ load_ohm, driven }: RunSetting): string =>
  `${given(load_ohm, 'ohm')}, ${drivenCount(driven)}`;
