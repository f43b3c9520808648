import type { ChannelChain } from '../../calibration/chain.js';
import type { ExpectedUnit } from '../../calibration/headroom.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { formatQuantity } from '../../units/format.js';
import { BadQuantity, parseQuantity, quoted } from '../../units/parse.js';
import { inOption } from '../terminal/option.js';

/** The bench has no load of the requested ohms. */
export const LoadNotThere = inputError('LOAD_NOT_THERE', asTold);

/** A power with its W, a comma or `into` or nothing, a load. */
const SHAPE = /^(.*?W)(?:\s*,\s*|\s+into\s+|\s+)(\S.*)$/;

/** Less is no power amplifier's, more needs another kind of bench: common practice, no source. */
const LEAST_W = 1e-6;
const MOST_W = 1e6;

/**
 * Reads what a unit is expected to give, such as `150 W 8 ohm`, `150 W, 8 ohm` or `150 W into 8 ohm`.
 *
 * @throws BadQuantity
 */
export function parseExpectedUnit(text: string): ExpectedUnit {
  const expected = "expected a power and a load such as '150 W 8 ohm'";
  const match = text.length <= 100 ? SHAPE.exec(text.trim()) : null;
  const where = '--for';
  if (!match) throw new BadQuantity({ what: `${expected}, got ${quoted(text)}`, where });
  const [power_W, load_ohm] = [part(match[1]!, 'W'), part(match[2]!, 'ohm')];
  if (power_W < LEAST_W || power_W > MOST_W)
    throw new BadQuantity({
      what: `no amplifier gives ${quoted(match[1]!)}`,
      where,
      mend: `Give a power from ${formatQuantity(LEAST_W, 'W', { trim: true })} to ${formatQuantity(MOST_W, 'W', { trim: true })}`,
    });
  return { power_W, load_ohm };
}

function part(text: string, unit: 'W' | 'ohm'): number {
  return inOption('--for', () => parseQuantity(text, unit));
}

/** @throws LoadNotThere when no channel has the load */
export function requireLoad(channels: readonly ChannelChain[], load_ohm: number): void {
  const loads = [...new Set(channels.flatMap((chain) => chain.loads.map(({ nominal_ohm }) => nominal_ohm)))];
  if (loads.includes(load_ohm)) return;
  const has = loads.map((ohms) => formatQuantity(ohms, 'ohm')).join(' and ');
  throw new LoadNotThere({
    what: `no channel of this bench has a load of ${formatQuantity(load_ohm, 'ohm')}`,
    where: '--for',
    mend: `Its loads are ${has}: use one of these, or add the load to the bench file`,
  });
}
