import type { Calibrated } from '../../calibrator/calibrate.js';
import { OptionWrong } from '../terminal/option.js';
import type { CalibrateOptions } from './calibrate-options.js';

/** Options that change how something is calibrated, and what they can be given for. */
const MEANT_FOR = [
  ['hot', ['load']],
  ['inductance', ['load']],
  ['load', ['load']],
  ['metered', ['input', 'response']],
  ['loopOnly', ['response']],
  ['level', ['output', 'input', 'attenuator', 'floor']],
  ['frequency', ['floor', 'response']],
] as const satisfies (readonly [keyof CalibrateOptions, readonly Calibrated[]])[];

/**
 * An option that would do nothing is a misunderstanding that ends up in a record. The meter's own (--accuracy,
 * --serial ...) are let through everywhere, so that one line serves for every part.
 *
 * @throws OptionWrong
 */
export function requireNoIdleOptions(what: Calibrated, options: CalibrateOptions): void {
  for (const [key, kinds] of MEANT_FOR) {
    if (!options[key] || (kinds as readonly Calibrated[]).includes(what)) continue;
    throw new OptionWrong({
      what: `${flagOf(key)} does nothing when ${articled(what)} is calibrated`,
      mend: `Leave it out: it is for ${kinds.join(', ')}`,
    });
  }
  if (options.metered && options.loopOnly)
    throw new OptionWrong({ what: '--metered and --loop-only contradict each other', mend: 'Leave one out' });
}

const flagOf = (key: string) => `--${key.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
const articled = (what: Calibrated) => (/^[aeiou]/.test(what) ? `an ${what}` : `a ${what}`);
