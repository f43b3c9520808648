import { formatQuantity } from '../units/format.js';
import { benchMost_W } from './bench-limits.js';
import { complain, type Layout, type SettledSetting } from './lay-out.js';
import type { Placed } from './placed.js';

/**
 * The claimed power that a key of a step needs, watts per channel into the step's load: that of the claim for this very
 * load, else that of the first claim at the same voltage (P R / R'), no higher than what the bench is rated for, with a
 * warning. Null when there is none to be had (and that was noted).
 */
export function claimFor(
  layout: Layout,
  step: Placed,
  key: string,
  setting: SettledSetting | null,
): number | null {
  const { claims } = layout;
  if (claims.length === 0)
    return refuse(layout, step, key, 'this sequence needs a claim', 'give it with --claim "100 W"');
  if (setting === null) return null;
  const claim = claims.find(({ load_ohm }) => load_ohm === setting.load_ohm) ?? claims[0]!;
  const { power_W, load_ohm, note } = claim;
  if (power_W === null)
    return refuse(
      layout,
      step,
      key,
      `no level can be taken from the claim: ${note}`,
      'claim watts per channel',
    );
  if (note !== '') warnOnce(layout, `levels are taken from the claim as ${watts(power_W)}: ${note}`);
  if (load_ohm === setting.load_ohm || load_ohm === null) return power_W;
  return sameVoltage(layout, { power_W, load_ohm }, setting);
}

const watts = (power_W: number): string => formatQuantity(power_W, 'W', { figures: 4, trim: true });

function sameVoltage(
  layout: Layout,
  claim: { readonly power_W: number; readonly load_ohm: number },
  { load_ohm, channels }: SettledSetting,
): number {
  const restated_W = (claim.power_W * claim.load_ohm) / load_ohm;
  const most_W = benchMost_W(channels);
  const [from, to] = [claim.load_ohm, load_ohm].map((ohms) => formatQuantity(ohms, 'ohm'));
  const bound = load_ohm < claim.load_ohm ? ', an upper bound' : '';
  const capped = restated_W > most_W ? `, lowered to the ${watts(most_W)} that the bench is rated for` : '';
  warnOnce(
    layout,
    `the claim is for ${from}: into ${to} its level is taken at the same voltage, ${watts(restated_W)}${bound}${capped}; nobody claims it`,
  );
  return Math.min(restated_W, most_W);
}

function warnOnce({ warnings }: Layout, text: string): void {
  if (!warnings.includes(text)) warnings.push(text);
}

/** Once is enough: it is one thing to do, however many steps ask for it. */
function refuse(layout: Layout, step: Placed, key: string, what: string, mend: string): null {
  if (!layout.faults.some((fault) => fault.what === what)) complain(layout, step, key, what, mend);
  return null;
}
