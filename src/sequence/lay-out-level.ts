import { formatQuantity } from '../units/format.js';
import { benchMost_W, type LoadedChannel, limitsPassed } from './bench-facts.js';
import { complain, type Layout, type MarkingStep, type SettledSetting, warnIfOutOfReach } from './lay-out.js';
import type { Level, WrittenLevel } from './level.js';
import { claimFor, climbNamed } from './level-references.js';
import type { Placed } from './repeat-cells.js';
import type { WrittenTop } from './written-fields.js';

/** A level with everything resolved, and the most that it can come to. */
export interface SettledLevel {
  readonly level: Level;
  readonly most_W: number;
  /** The same for each channel on its own. */
  powerOf(channel: LoadedChannel): number;
}

/**
 * A level on this bench: a share of the claim as a power, a climb by its full id. Null when it is wrong (and
 * was noted).
 *
 * @param key where in the step it stands
 */
export function settleLevel(
  layout: Layout,
  written: Placed,
  key: 'level' | 'start',
  setting: SettledSetting | null,
): SettledLevel | null {
  const asked = (written.keys as { level?: WrittenLevel; start?: WrittenLevel })[key];
  if (asked === undefined) return null;
  if (asked.kind === 'mark') return settleMark(layout, written, key, asked, setting);
  const level = asked.kind === 'claim' ? shareOfClaim(layout, written, key, asked.share, setting) : asked;
  if (!setting || level === null) return null;
  return withinBench(layout, written, key, level, setting);
}

function shareOfClaim(
  layout: Layout,
  written: Placed,
  key: string,
  share: number,
  setting: SettledSetting | null,
) {
  const claim_W = claimFor(layout, written, key, setting);
  return claim_W === null ? null : { kind: 'power' as const, power_W: share * claim_W };
}

function settleMark(
  layout: Layout,
  written: Placed,
  key: string,
  asked: Extract<Level, { kind: 'mark' }>,
  setting: SettledSetting | null,
): SettledLevel | null {
  const climb = climbNamed(layout, written, key, asked);
  if (!climb || !setting || !sameSetting(layout, written, key, climb, setting)) return null;
  const most_W = Math.min(climb.most_W * asked.share, benchMost_W(setting.channels));
  return { level: { ...asked, climb: climb.id }, most_W, powerOf: () => most_W };
}

function withinBench(
  layout: Layout,
  written: Placed,
  key: string,
  level: Extract<Level, { kind: 'power' | 'voltage' }>,
  setting: SettledSetting,
): SettledLevel | null {
  const powerOf = ({ load }: LoadedChannel) =>
    level.kind === 'power' ? level.power_W : level.voltage_V ** 2 / load.measured_ohm;
  const most_W = Math.max(...setting.channels.map(powerOf));
  const passed = limitsPassed(setting.channels, powerOf);
  if (passed !== null) {
    complain(layout, written, key, `${formatQuantity(most_W, 'W')} is more than the bench can take`, passed);
    return null;
  }
  warnIfOutOfReach(layout, written.id, setting.channels, most_W);
  return { level, most_W, powerOf };
}

/** A power that was found into another load, or with other channels driven, says nothing here. */
function sameSetting(
  layout: Layout,
  written: Placed,
  key: string,
  climb: MarkingStep,
  setting: SettledSetting,
): boolean {
  const sameLoad = climb.load_ohm === setting.load_ohm;
  const sameDriven = climb.driven.join() === setting.driven.join();
  if (!sameLoad)
    complain(
      layout,
      written,
      key,
      `'${climb.id}' was climbed into ${formatQuantity(climb.load_ohm, 'ohm')}, this ${written.kind} plays into ${formatQuantity(setting.load_ohm, 'ohm')}`,
      'climb into the same load first',
    );
  if (!sameDriven)
    complain(
      layout,
      written,
      key,
      `'${climb.id}' drove channels ${climb.driven.join(', ')}, this ${written.kind} drives ${setting.driven.join(', ')}`,
      'climb with the same channels driven first',
    );
  return sameLoad && sameDriven;
}

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
