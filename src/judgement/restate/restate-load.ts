import { formatQuantity } from '../../units/format.js';
import { voltageFor } from '../../units/ohms-law.js';
import { ohms, type Unit, watts } from '../../units/quantity.js';
import type { Claim } from '../claim/claim.js';
import { given } from '../claim/claim-words.js';
import type { SingleStep } from './restating-step.js';

/** Four figures, as worked by hand. */
export const worked = (value: number, unit: Unit): string =>
  formatQuantity(value, unit, { figures: 4, trim: true });

/**
 * The same voltage into another load: P R / R'. Into less impedance an upper bound, since the supply may not hold the
 * voltage under more current; into more a lower bound. Handbook arithmetic (Ohm's and Joule's law).
 *
 * @param claim with a load
 */
export function restateLoad(claim: Claim, load_ohm: number): SingleStep {
  const from_ohm = claim.load_ohm!;
  const power_W = (claim.power_W * from_ohm) / load_ohm;
  const heavier = load_ohm < from_ohm;
  return {
    what: `same voltage into ${given(load_ohm, 'ohm')}`,
    kind: heavier ? 'upper-bound' : 'lower-bound',
    arithmetic: arithmetic(claim, load_ohm, power_W),
    assumes: heavier
      ? 'the supply holds the voltage under more current, and no limiter acts'
      : 'a lighter load never lowers the voltage (the exception: an output transformer made for one load)',
    power_W,
    range_W: null,
    claim: { ...claim, power_W, load_ohm },
  };
}

/** By way of the volts, where the watts are those of one load; a sum has no one voltage. */
function arithmetic({ per, power_W, load_ohm }: Claim, into_ohm: number, result_W: number): string {
  const [from, into] = [given(load_ohm!, 'ohm'), given(into_ohm, 'ohm')];
  if (per === 'total') return `${worked(power_W, 'W')} x ${from} / ${into} = ${worked(result_W, 'W')}`;
  const voltage = worked(voltageFor(watts(power_W), ohms(load_ohm!)), 'V');
  return `root of ${worked(power_W, 'W')} x ${from} = ${voltage}; ${voltage} squared / ${into} = ${worked(result_W, 'W')}`;
}
