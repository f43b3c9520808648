import { parseQuantity, QuantityError, quoted } from '../units/parse.js';

/** Less is no power amplifier's, more needs another kind of bench: common practice, no source. */
const LEAST_W = 1e-3;
const MOST_W = 1e5;

/**
 * Reads what the maker claims, as watts per channel, such as `100 W`.
 *
 * @throws QuantityError
 */
export function claimPower(text: string): number {
  const where = '--claim';
  let power_W: number;
  try {
    power_W = parseQuantity(text, 'W');
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    throw new QuantityError({ ...error.explanation, where });
  }
  if (power_W >= LEAST_W && power_W <= MOST_W) return power_W;
  throw new QuantityError({
    what: `no amplifier gives ${quoted(text)} per channel`,
    where,
    mend: 'Give a power from 1 mW to 100 kW',
  });
}
