import type { LoadedChannel } from '../../sequence/bench-limits.js';
import { complain, type Meeting, type SettledSetting, settle } from '../../sequence/lay-out.js';
import { type SettledLevel, settleLevel } from '../../sequence/lay-out-level.js';
import { longestAt_s } from '../../sequence/load-warmth.js';
import type { Placed } from '../../sequence/place-steps.js';
import type { HoldStep } from '../../sequence/plan.js';
import { singleTone } from '../../sequence/single-tone.js';
import type { WrittenHold } from '../../sequence/written-step.js';
import { formatDuration, formatQuantity } from '../../units/format.js';

const WARM_UP_Hz = 1000;
const EVERY_s = { hold: 10, 'warm-up': 60 } as const;

/** Lays a hold or a warm-up out for a bench; null when anything about it is wrong (and was noted). */
export function layOutHold(meeting: Meeting, written: Placed<WrittenHold>): HoldStep | null {
  const before = meeting.faults.length;
  const { keys, spoilt, kind } = written;
  const setting = settle(meeting, written);
  const nominal_Hz = keys.frequency ?? (kind === 'warm-up' && !spoilt.has('frequency') ? WARM_UP_Hz : null);
  const tone = nominal_Hz === null ? null : singleTone(meeting, written, nominal_Hz, setting);
  const settled = settleLevel(meeting, written, 'level', setting);
  const seconds = keys.for;
  if (setting && settled && seconds !== undefined)
    noteTooHot(meeting, written, { setting, settled, seconds });
  const every_s = keys.every ?? Math.min(EVERY_s[kind], seconds ?? EVERY_s[kind]);
  if (seconds !== undefined && every_s > seconds)
    complain(
      meeting,
      written,
      'every',
      `every ${formatDuration(every_s)} is longer than the ${kind}`,
      `it lasts ${formatDuration(seconds)}`,
    );
  const faulty = spoilt.size > 0 || meeting.faults.length > before;
  if (!setting || !tone || !settled || seconds === undefined || faulty) return null;
  const { channels: _, ...base } = setting;
  const { level, most_W } = settled;
  return { kind, id: written.id, ...base, most_W, tone, level, seconds, every_s };
}

/** A level above a load's continuous rating may stand only until the load is as warm as at its rating. */
function noteTooHot(
  meeting: Meeting,
  written: Placed<WrittenHold>,
  { setting, settled, seconds }: { setting: SettledSetting; settled: SettledLevel; seconds: number },
): void {
  const longest_s = (channel: LoadedChannel) => longestAt_s(channel.load, settled.powerOf(channel));
  const [weakest] = [...setting.channels].sort((a, b) => longest_s(a) - longest_s(b));
  const most_s = longest_s(weakest!);
  if (seconds <= most_s) return;
  const { load, chain } = weakest!;
  const power = formatQuantity(settled.powerOf(weakest!), 'W');
  const rating = formatQuantity(load.rating_W, 'W');
  complain(
    meeting,
    written,
    'for',
    `${power} for ${formatDuration(seconds)} is more than the load of channel ${chain.channel} stands, which is rated ${rating} continuous`,
    `at most ${formatDuration(Math.floor(most_s))} at this level, or at most ${rating}`,
  );
}
