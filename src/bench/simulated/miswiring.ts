import type { LoadFault } from './dummy-load.js';

/** What is wrong with the cables of a bench. Channels are numbered from 1; what is left out is right. */
export interface Miswiring {
  /** The voltage tap of a channel sits on the load of another one. */
  readonly taps?: ReadonlyMap<number, number>;
  /** The loop cable from a channel's output ends in the input of another one. */
  readonly loops?: ReadonlyMap<number, number>;
  /** Channels whose output is not connected to anything. */
  readonly dead?: readonly number[];
  /** Channels whose input is connected the wrong way round. */
  readonly inverted?: readonly number[];
  /** What hangs on a channel in place of its load. */
  readonly loads?: ReadonlyMap<number, LoadFault>;
}

/** One channel's cables, other channels counted from 0. */
export interface ChannelCables {
  /** Whose load the tap sits on. */
  readonly tap: number;
  /** Outputs whose loop cables end in this input. */
  readonly loops: readonly number[];
  readonly dead: boolean;
  readonly sign: 1 | -1;
  readonly load: LoadFault | null;
}

/** The cables of a bench of so many channels. @throws RangeError naming a channel that the bench does not have */
export function cablesOf(miswiring: Miswiring, channels: number): ChannelCables[] {
  const { taps, loops, dead = [], inverted = [], loads } = miswiring;
  const named = [
    ...[taps, loops].flatMap((map) => [...(map ?? [])].flat()),
    ...dead,
    ...inverted,
    ...(loads?.keys() ?? []),
  ];
  const stranger = named.find(
    (channel) => !(Number.isInteger(channel) && channel >= 1 && channel <= channels),
  );
  if (stranger !== undefined) throw new RangeError(`the bench has no channel ${stranger}`);
  const all = Array.from({ length: channels }, (_, i) => i);
  return all.map((i) => ({
    tap: (taps?.get(i + 1) ?? i + 1) - 1,
    loops: all.filter((j) => (loops?.get(j + 1) ?? j + 1) === i + 1),
    dead: dead.includes(i + 1),
    sign: inverted.includes(i + 1) ? -1 : 1,
    load: loads?.get(i + 1) ?? null,
  }));
}
