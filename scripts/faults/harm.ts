/** Something done to the samples that come in: gets all channels of a stretch and hands on as many as it leaves. */
export interface Harm {
  /** Number of the first sample that it touches. */
  readonly from: number;
  /** @param at number of the stretch's first sample, of all that have come in since the bench was made */
  take(channels: readonly Float64Array[], at: number): Float64Array[];
}

/** From sample `from` on, every sample of one channel (from 0) becomes another. */
export function bent(from: number, channel: number, bend: (sample: number) => number): Harm {
  return {
    from,
    take: (channels, at) =>
      channels.map((samples, i) =>
        i === channel ? samples.map((sample, n) => (at + n < from ? sample : bend(sample))) : samples.slice(),
      ),
  };
}

/** From the block of sample `from` on, one channel (from 0) gives that block again and again. */
export function frozen(from: number, channel: number): Harm {
  let kept: Float64Array | null = null;
  return {
    from,
    take: (channels, at) =>
      channels.map((samples, i) => {
        if (i !== channel || at < from) return samples.slice();
        kept ??= samples.slice();
        return kept.slice(0, samples.length);
      }),
  };
}

/** From sample `from` on, a tone from elsewhere (of `turns` cycles a sample) is added to one channel (from 0). */
export function humming(from: number, channel: number, peak: number, turns: number): Harm {
  return {
    from,
    take: (channels, at) =>
      channels.map((samples, i) =>
        i === channel
          ? samples.map((sample, n) =>
              at + n < from ? sample : sample + peak * Math.sin(2 * Math.PI * turns * (at + n)),
            )
          : samples.slice(),
      ),
  };
}

/** `count` samples of every channel are lost at sample `from`: what follows comes that much earlier. */
export function dropped(from: number, count: number): Harm {
  return {
    from,
    take: (channels, at) =>
      channels.map((samples) => {
        const [cut, goesOn] = [within(from - at, samples), within(from + count - at, samples)];
        return Float64Array.of(...samples.subarray(0, cut), ...samples.subarray(goesOn));
      }),
  };
}

/** The `count` samples before sample `from` come twice. */
export function doubled(from: number, count: number): Harm {
  const pasts: Float64Array[] = [];
  return {
    from,
    take: (channels, at) =>
      channels.map((samples, i) => {
        const all = Float64Array.of(...(pasts[i] ?? []), ...samples);
        pasts[i] = all.slice(Math.max(0, all.length - count));
        const cut = from - at;
        if (cut < 0 || cut >= samples.length) return samples.slice();
        const before = all.length - samples.length + cut;
        const again = all.subarray(Math.max(0, before - count), before);
        return Float64Array.of(...samples.subarray(0, cut), ...again, ...samples.subarray(cut));
      }),
  };
}

const within = (position: number, { length }: Float64Array): number =>
  Math.min(Math.max(position, 0), length);
