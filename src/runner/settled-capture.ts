import type { CoherentTone } from '../stimulus/coherent-tone.js';
import type { TonePlayer } from './tone-player.js';

/** The samples of one point: one record per channel asked for, in that order. */
export interface SettledCapture {
  readonly channels: readonly Float64Array[];
  /** False when the output was still moving at the end of the waiting time. */
  readonly settled: boolean;
}

/** Do the two halves of a record agree? */
export type Agree = (earlier: Float64Array, later: Float64Array, tone: CoherentTone) => boolean;

/** Halves of a record that may pass before the runner takes what there is. */
const MOST_HALVES = 12;

/**
 * Takes one record of every channel asked for, beginning at `from`, and goes on half a record at a time
 * until the halves of each channel agree, so that what is read has settled.
 *
 * @param channels indexes into a block's channels
 * @param tick called after every half record, to show life and to notice an interruption
 */
export async function captureSettled(
  player: TonePlayer,
  asked: { readonly tone: CoherentTone; readonly from: number; readonly channels: readonly number[] },
  agree: Agree,
  tick: () => Promise<void>,
): Promise<SettledCapture> {
  const { tone, channels } = asked;
  const half = tone.frames / 2;
  const records = channels.map(() => new Float64Array(tone.frames));
  const collect = collector(player, asked.from, channels);
  for (let halves = 1; ; halves += 1) {
    await collect(records, half, half);
    await tick();
    const full = halves >= 2;
    const settled =
      full && records.every((record) => agree(record.subarray(0, half), record.subarray(half), tone));
    if (settled || halves >= MOST_HALVES) return { channels: records, settled };
    for (const record of records) record.copyWithin(0, half);
  }
}

/** Copies what comes in, from source frame `from` on, across block borders. */
function collector(player: TonePlayer, from: number, channels: readonly number[]) {
  let wanted = from;
  let block = { start: 0, channels: [] as readonly Float64Array[] };
  return async (records: readonly Float64Array[], offset: number, count: number): Promise<void> => {
    let filled = 0;
    while (filled < count) {
      const length = block.channels[0]?.length ?? 0;
      const skip = wanted - block.start;
      if (skip >= length) {
        block = await player.next();
        continue;
      }
      const take = Math.min(length - skip, count - filled);
      channels.forEach((channel, i) => {
        records[i]!.set(block.channels[channel]!.subarray(skip, skip + take), offset + filled);
      });
      filled += take;
      wanted += take;
    }
  };
}
