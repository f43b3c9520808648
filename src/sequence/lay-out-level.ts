import { formatQuantity } from '../units/format.js';
import { benchMost_W, type LoadedChannel, limitsPassed } from './bench-facts.js';
import { type MarkingStep, type SettledSetting, type StepLayout, warnIfOutOfReach } from './lay-out.js';
import type { Level, WrittenLevel } from './level.js';
import { claimFor, climbNamed } from './level-references.js';
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
export function settleLevel(at: StepLayout, key: 'level' | 'start'): SettledLevel | null {
  const asked = (at.keys as { level?: WrittenLevel; start?: WrittenLevel })[key];
  const { setting } = at;
  if (asked === undefined) return null;
  if (asked.kind === 'mark') return settleMark(at, key, asked);
  const level = asked.kind === 'claim' ? shareOfClaim(at, key, asked.share) : asked;
  if (!setting || level === null) return null;
  const powerOf = ({ load }: LoadedChannel) =>
    level.kind === 'power' ? level.power_W : level.voltage_V ** 2 / load.measured_ohm;
  const most_W = Math.max(...setting.channels.map(powerOf));
  return withinBench(at, key, setting, most_W, powerOf) && { level, most_W, powerOf };
}

function shareOfClaim(at: StepLayout, key: string, share: number) {
  const claim_W = claimFor(at, key);
  return claim_W === null ? null : { kind: 'power' as const, power_W: share * claim_W };
}

function settleMark(
  at: StepLayout,
  key: string,
  asked: Extract<Level, { kind: 'mark' }>,
): SettledLevel | null {
  const climb = climbNamed(at, key, asked);
  const { setting } = at;
  if (!climb || !setting || !sameSetting(at, key, climb, setting)) return null;
  const most_W = Math.min(climb.most_W * asked.share, benchMost_W(setting.channels));
  return { level: { ...asked, climb: climb.id }, most_W, powerOf: () => most_W };
}

/** Whether a bench can take a power; null when it cannot (and that was noted). */
function withinBench(
  at: StepLayout,
  key: string,
  { channels }: SettledSetting,
  most_W: number,
  powerOf: (channel: LoadedChannel) => number = () => most_W,
): true | null {
  const passed = limitsPassed(channels, powerOf);
  if (passed !== null)
    return at.complain(key, `${formatQuantity(most_W, 'W')} is more than the bench can take`, passed);
  warnIfOutOfReach(at, channels, most_W);
  return true;
}

/** A power that was found into another load, or with other channels driven, says nothing here. */
function sameSetting(at: StepLayout, key: string, climb: MarkingStep, { base }: SettledSetting): boolean {
  const { kind } = at.written;
  const sameLoad = climb.load_ohm === base.load_ohm;
  const sameDriven = climb.driven.join() === base.driven.join();
  if (!sameLoad)
    at.complain(
      key,
      `'${climb.id}' was climbed into ${formatQuantity(climb.load_ohm, 'ohm')}, this ${kind} plays into ${formatQuantity(base.load_ohm, 'ohm')}`,
      'climb into the same load first',
    );
  if (!sameDriven)
    at.complain(
      key,
      `'${climb.id}' drove channels ${climb.driven.join(', ')}, this ${kind} drives ${base.driven.join(', ')}`,
      'climb with the same channels driven first',
    );
  return sameLoad && sameDriven;
}

const FROM_W = 0.05;

/** The keys that a range is taken from. */
interface RangeKeys {
  readonly from?: number | undefined;
  readonly to?: WrittenTop | undefined;
}

/** The powers between which a climb or a search may move. */
export interface PowerRange {
  readonly from_W: number;
  readonly most_W: number;
}

/** From where to where, on this bench; null when that is wrong (and was noted). */
export function rangeOf(at: StepLayout<RangeKeys>): PowerRange | null {
  const { setting, keys, written } = at;
  const most_W = setting === null || written.spoilt.has('to') ? null : topOf(at, setting);
  const from_W = keys.from ?? FROM_W;
  if (most_W === null || written.spoilt.has('from')) return null;
  if (from_W < most_W) return { from_W, most_W };
  const what = `from ${formatQuantity(from_W, 'W')} is not below the top of this step`;
  return at.complain('from', what, `the top is ${formatQuantity(most_W, 'W')}`);
}

/** The top: as written, checked against the bench, or what the bench can take. */
function topOf(at: StepLayout<RangeKeys>, setting: SettledSetting): number | null {
  const asked = at.keys.to ?? 'load rating';
  if (asked === 'load rating') return benchMost_W(setting.channels);
  const to = asked === 'claim' ? claimFor(at, 'to') : asked;
  return to === null ? null : withinBench(at, 'to', setting, to) && to;
}
