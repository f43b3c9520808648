import { formatQuantity } from '../units/format.js';
import { benchMost_W, limitsPassed } from './bench-limits.js';
import { claimFor } from './claim-level.js';
import { complain, type Layout, type SettledSetting, warnIfOutOfReach } from './lay-out.js';
import type { Placed } from './placed.js';
import type { WrittenTop } from './written-fields.js';

const FROM_W = 0.05;

/** The keys that they are taken from. */
export interface RangeKeys {
  readonly from?: number | undefined;
  readonly to?: WrittenTop | undefined;
}

/** The powers between which a climb or a search may move. */
export interface PowerRange {
  readonly from_W: number;
  readonly most_W: number;
}

/** From where to where, on this bench; null when that is wrong (and was noted). */
export function rangeOf(
  layout: Layout,
  written: Placed<RangeKeys>,
  setting: SettledSetting,
): PowerRange | null {
  const { keys, spoilt } = written;
  const most_W = spoilt.has('to') ? null : topOf(layout, written, setting);
  const from_W = keys.from ?? FROM_W;
  if (most_W === null || spoilt.has('from')) return null;
  if (from_W < most_W) return { from_W, most_W };
  complain(
    layout,
    written,
    'from',
    `from ${formatQuantity(from_W, 'W')} is not below the top of this step`,
    `the top is ${formatQuantity(most_W, 'W')}`,
  );
  return null;
}

/** The top: as written, checked against the bench, or what the bench can take. */
function topOf(layout: Layout, written: Placed<RangeKeys>, setting: SettledSetting): number | null {
  const asked = written.keys.to ?? 'load rating';
  if (asked === 'load rating') return benchMost_W(setting.channels);
  const to = asked === 'claim' ? claimFor(layout, written, 'to', setting) : asked;
  if (to === null) return null;
  const passed = limitsPassed(setting.channels, () => to);
  if (passed !== null) {
    complain(layout, written, 'to', `${formatQuantity(to, 'W')} is more than the bench can take`, passed);
    return null;
  }
  warnIfOutOfReach(layout, written.id, setting.channels, to);
  return to;
}
