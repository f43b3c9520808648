import { formatQuantity } from '../units/format.js';
import { benchMost_W } from './bench-limits.js';
import { complain, type Meeting, type SettledSetting } from './lay-out.js';
import type { Placed } from './place-steps.js';
import type { WrittenWired } from './written-step.js';

/** A claim as far as levels are taken from it. */
export interface ClaimedPower {
  /** Continuous watts per channel; null when the claim does not tell them. */
  readonly power_W: number | null;
  /** Null when the claim states no load. */
  readonly load_ohm: number | null;
  /** Why there is no power, or what was assumed to get at it; empty when it is as claimed. */
  readonly note: string;
}

/**
 * The claimed power that a key of a step needs, watts per channel into the step's load: that of the claim for this very
 * load, else that of the first claim at the same voltage (P R / R'), no higher than what the bench is rated for, with a
 * warning. Null when there is none to be had (and that was noted).
 */
export function claimFor(
  meeting: Meeting,
  step: Placed<WrittenWired>,
  key: string,
  setting: SettledSetting | null,
): number | null {
  const { claims } = meeting;
  if (claims.length === 0)
    return refuse(meeting, step, key, 'this sequence needs a claim', 'give it with --claim "100 W"');
  if (setting === null) return null;
  const claim = claims.find(({ load_ohm }) => load_ohm === setting.load_ohm) ?? claims[0]!;
  const { power_W, load_ohm, note } = claim;
  if (power_W === null)
    return refuse(
      meeting,
      step,
      key,
      `no level can be taken from the claim: ${note}`,
      'claim watts per channel',
    );
  if (note !== '') warnOnce(meeting, `levels are taken from the claim as ${watts(power_W)}: ${note}`);
  if (load_ohm === setting.load_ohm || load_ohm === null) return power_W;
  return sameVoltage(meeting, { power_W, load_ohm }, setting);
}

const watts = (power_W: number): string => formatQuantity(power_W, 'W', { figures: 4, trim: true });

function sameVoltage(
  meeting: Meeting,
  claim: { readonly power_W: number; readonly load_ohm: number },
  { load_ohm, channels }: SettledSetting,
): number {
  const restated_W = (claim.power_W * claim.load_ohm) / load_ohm;
  const most_W = benchMost_W(channels);
  const [from, to] = [claim.load_ohm, load_ohm].map((ohms) => formatQuantity(ohms, 'ohm'));
  const bound = load_ohm < claim.load_ohm ? ', an upper bound' : '';
  const capped = restated_W > most_W ? `, lowered to the ${watts(most_W)} that the bench is rated for` : '';
  warnOnce(
    meeting,
    `the claim is for ${from}: into ${to} its level is taken at the same voltage, ${watts(restated_W)}${bound}${capped}; nobody claims it`,
  );
  return Math.min(restated_W, most_W);
}

function warnOnce({ warnings }: Meeting, text: string): void {
  if (!warnings.includes(text)) warnings.push(text);
}

/** Once is enough: it is one thing to do, however many steps ask for it. */
function refuse(meeting: Meeting, step: Placed<WrittenWired>, key: string, what: string, mend: string): null {
  if (!meeting.faults.some((fault) => fault.what === what)) complain(meeting, step, key, what, mend);
  return null;
}
