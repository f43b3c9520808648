import { z } from 'zod';
import type { ChannelChain } from '../../calibration/chain.js';
import { label, whole } from '../../schema/fields.js';
import { quoted } from '../../units/parse.js';
import type { BenchKind } from '../bench-kind.js';
import type { BenchReading } from '../bench-reading.js';
import type { Hardware } from '../hardware-lock.js';
import { clock, rate } from '../interface-fields.js';

const schema = z.strictObject({
  kind: z.literal('audio'),
  rate,
  play: label(500),
  capture: label(500),
  bits: z.literal([24, 32]).optional(),
  play_channels: whole(1, 256).optional(),
  capture_channels: whole(1, 256).optional(),
  clock,
  hardware: z.enum(['yes', 'practice']).optional(),
});

/** A bench on a sound interface. */
export const AUDIO = {
  schema,
  words: 'sound interface',
  computed: false,
  energises: () => true,
  practice: ({ hardware }) => hardware === 'practice',
  clock: () => 'world',
  read: (reading, keys, channels) => ({
    kind: 'audio',
    playDevice: keys.play,
    captureDevice: keys.capture,
    bits: keys.bits ?? 24,
    playChannels: opened(reading, 'output', channels, keys.play_channels),
    captureChannels: opened(reading, 'input', channels, keys.capture_channels),
  }),
  checkFiles: () => {},
  checkDevices: async (setup) => (await import('./list-devices.js')).requireDevices(setup),
  hardware: ({ interface: link }) =>
    link.kind === 'audio' ? [...soundDevice(link.playDevice), ...soundDevice(link.captureDevice)] : [],
  make: async (setup) => new (await import('./audio-bench.js')).AudioBench(setup),
} as const satisfies BenchKind<'audio', z.output<typeof schema>>;

/** A device by its name; one that is written `SYSTEM/NAME` is what others call `NAME`. */
function soundDevice(name: string): Hardware[] {
  const bare = name.slice(name.indexOf('/') + 1);
  const words = `the sound device ${quoted(name)}`;
  return [...new Set([name, bare])].map((one) => ({ words, key: `sound ${one}` }));
}

/** How many interface channels to open: as many as are used, or as the file says. */
function opened(
  reading: BenchReading,
  side: 'output' | 'input',
  channels: readonly ChannelChain[],
  written: number | undefined,
): number {
  const taps = side === 'input' ? channels.map(({ current }) => current?.input ?? 1) : [];
  const highest = Math.max(1, ...channels.map((chain) => chain[side]), ...taps);
  const key = side === 'output' ? 'play_channels' : 'capture_channels';
  if (written !== undefined && written < highest)
    reading.complain(['interface', key], `${written} is too few`, `${side} ${highest} is used by a channel`);
  return written ?? highest;
}
