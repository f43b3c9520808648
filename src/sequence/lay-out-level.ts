import { formatQuantity } from '../units/format.js';
import { benchMost_W, type LoadedChannel, limitsPassed } from './bench-limits.js';
import { claimFor } from './claim-level.js';
import { climbNamed } from './climb-named.js';
import { complain, type Meeting, type SettledSetting, warnIfOutOfReach } from './lay-out.js';
import type { WrittenLevel } from './level-field.js';
import type { Placed } from './place-steps.js';
import type { ClimbStep, Level } from './plan.js';
import type { WrittenHold, WrittenMaxPower, WrittenSweep } from './written-step.js';

export type Levelled = Placed<WrittenSweep | WrittenHold | WrittenMaxPower>;

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
  meeting: Meeting,
  written: Levelled,
  key: 'level' | 'start',
  setting: SettledSetting | null,
): SettledLevel | null {
  const asked = (written.keys as { level?: WrittenLevel; start?: WrittenLevel })[key];
  if (asked === undefined) return null;
  if (asked.kind === 'mark') return settleMark(meeting, written, key, asked, setting);
  const level = asked.kind === 'claim' ? shareOfClaim(meeting, written, key, asked.share, setting) : asked;
  if (!setting || level === null) return null;
  return withinBench(meeting, written, key, level, setting);
}

function shareOfClaim(
  meeting: Meeting,
  written: Levelled,
  key: string,
  share: number,
  setting: SettledSetting | null,
) {
  const claim_W = claimFor(meeting, written, key, setting);
  return claim_W === null ? null : { kind: 'power' as const, power_W: share * claim_W };
}

function settleMark(
  meeting: Meeting,
  written: Levelled,
  key: string,
  asked: Extract<Level, { kind: 'mark' }>,
  setting: SettledSetting | null,
): SettledLevel | null {
  const climb = climbNamed(meeting, written, key, asked);
  if (!climb || !setting || !sameSetting(meeting, written, key, climb, setting)) return null;
  const most_W = Math.min(climb.most_W * asked.share, benchMost_W(setting.channels));
  return { level: { ...asked, climb: climb.id }, most_W, powerOf: () => most_W };
}

function withinBench(
  meeting: Meeting,
  written: Levelled,
  key: string,
  level: Extract<Level, { kind: 'power' | 'voltage' }>,
  setting: SettledSetting,
): SettledLevel | null {
  const powerOf = ({ load }: LoadedChannel) =>
    level.kind === 'power' ? level.power_W : level.voltage_V ** 2 / load.measured_ohm;
  const most_W = Math.max(...setting.channels.map(powerOf));
  const passed = limitsPassed(setting.channels, powerOf);
  if (passed !== null) {
    complain(meeting, written, key, `${formatQuantity(most_W, 'W')} is more than the bench can take`, passed);
    return null;
  }
  warnIfOutOfReach(meeting, written.id, setting.channels, most_W);
  return { level, most_W, powerOf };
}

/** A power that was found into another load, or with other channels driven, says nothing here. */
function sameSetting(
  meeting: Meeting,
  written: Levelled,
  key: string,
  climb: ClimbStep,
  setting: SettledSetting,
): boolean {
  const sameLoad = climb.load_ohm === setting.load_ohm;
  const sameDriven = climb.driven.join() === setting.driven.join();
  if (!sameLoad)
    complain(
      meeting,
      written,
      key,
      `'${climb.id}' was climbed into ${formatQuantity(climb.load_ohm, 'ohm')}, this ${written.kind} plays into ${formatQuantity(setting.load_ohm, 'ohm')}`,
      'climb into the same load first',
    );
  if (!sameDriven)
    complain(
      meeting,
      written,
      key,
      `'${climb.id}' drove channels ${climb.driven.join(', ')}, this ${written.kind} drives ${setting.driven.join(', ')}`,
      'climb with the same channels driven first',
    );
  return sameLoad && sameDriven;
}
