import type { BenchReading, KeyPath } from './bench-reading.js';
import type { ChannelKeys, ChannelsKeys } from './bench-schema.js';

/** A channel's keys with the place of each part, since parts may come from `all` or from an override. */
export interface PlacedChannel {
  readonly channel: number;
  readonly keys: ChannelKeys;
  place(part: keyof ChannelKeys): KeyPath;
}

/** The channels of a bench file one by one, whether written as a list or as one for all with overrides. */
export function placedChannels(reading: BenchReading, channels: ChannelsKeys): PlacedChannel[] {
  if (Array.isArray(channels))
    return channels.map((keys, i) => ({ channel: i + 1, keys, place: (part) => ['channels', i, part] }));
  const overrides = channels.overrides ?? [];
  overrides.forEach(({ channel }, i) => {
    const place = ['channels', 'overrides', i, 'channel'];
    if (channel > channels.count)
      reading.complain(place, `there is no channel ${channel} to override`, `count says ${channels.count}`);
    if (overrides.findIndex((other) => other.channel === channel) < i)
      reading.complain(place, `channel ${channel} is overridden twice`, 'put both into one');
  });
  return Array.from({ length: channels.count }, (_, i) => {
    const index = overrides.findIndex(({ channel }) => channel === i + 1);
    const { channel: _own, ...own } = overrides[index] ?? { channel: i + 1 };
    const written = Object.fromEntries(Object.entries(own).filter(([, value]) => value !== undefined));
    return {
      channel: i + 1,
      keys: { ...channels.all, ...written },
      place: (part) => (part in written ? ['channels', 'overrides', index, part] : ['channels', 'all', part]),
    };
  });
}
