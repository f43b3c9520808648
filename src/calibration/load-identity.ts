import { formatQuantity } from '../units/format.js';
import type { Load } from './chain.js';

/**
 * Which load it is, by what the bench file says: its label where it has one, else its channel and nominal ohms. Two benches that
 * label nothing share their loads by this: to take a cold load for a warm one costs a rest, the other way round a load.
 */
export function loadIdentity(
  channel: number,
  { label, nominal_ohm }: Pick<Load, 'label' | 'nominal_ohm'>,
): string {
  return label === undefined
    ? `channel ${channel}, ${formatQuantity(nominal_ohm, 'ohm', { trim: true })}`
    : `load '${label}'`;
}
