import { formatQuantity } from '../units/format.js';
import { benchMost_W, type LoadedChannel, limitsPassed } from './bench-limits.js';
import { claimFor } from './claim-level.js';
import { climbNamed } from './climb-named.js';
import { complain, type Layout, type MarkingStep, type SettledSetting, warnIfOutOfReach } from './lay-out.js';
import type { Level } from './level.js';
import type { WrittenLevel } from './level-field.js';
import type { Placed } from './placed.js';

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
