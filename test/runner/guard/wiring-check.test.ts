import { describe, expect, it } from 'vitest';
import type { Miswiring } from '../../../src/bench/simulated/miswiring.js';
import { clippingUnit, FakeBench, type Through } from '../fake-bench.js';
import { benchOf, benchText, play } from '../run.js';
import { twinBench } from '../twin-bench.js';

const CLIMB = `
name: Climb
load: 8 ohm
driven: all
steps:
  - climb: {id: up, frequency: 1 kHz, from: 100 mW, to: 1 W, marks: [0.1 %]}
`;

/** Runs a short climb on the eight-channel bench, which has current shunts, with something wrongly connected. */
async function withMistake(mistake: Miswiring, name = 'installed-eight') {
  const { setup, bench } = twinBench(name);
  bench.miswire(mistake);
  const played = await play(CLIMB, setup, bench);
  return { ...played, reason: played.ending.reason };
}

describe('the check of the wiring on a bench with current shunts', () => {
  it('finds nothing wrong where nothing is, in less than 0.3 s a channel', async () => {
    const { ending, of } = await withMistake({});
    expect(ending.outcome).toBe('completed');
    const [checked] = of('note').filter(({ topic }) => topic === 'wiring');
    expect(checked!.text).toMatch(/channels 1 to 8, each appears on its own input only/);
    expect(checked!.at_s).toBeLessThan(8 * 0.3);
  });

  const mistakes: readonly [string, Miswiring, RegExp][] = [
    [
      'swapped taps',
      {
        taps: new Map([
          [1, 2],
          [2, 1],
        ]),
      },
      /^wrong connections: channels 1 and 2 are swapped: their taps are the wrong way round$/,
    ],
    [
      'a tap left on another channel',
      { taps: new Map([[3, 5]]) },
      /: the tap of channel 3 sits at the load of channel 5$/,
    ],
    ['a dead channel', { dead: [4] }, /: channel 4 is dead: nothing arrives at any tap/],
    [
      'an inverted channel',
      { inverted: [6] },
      /: channel 6 is inverted against channels 1, 2, 3, 4, 5, 7 and 8$/,
    ],
    ['an open load', { loads: new Map([[2, 'open' as const]]) }, /: the load of channel 2 is open/],
    ['a shorted load', { loads: new Map([[7, 'short' as const]]) }, /: channel 7 is shorted/],
    [
      'another load',
      { loads: new Map([[8, 4]]) },
      /: channel 8 has a load of (3|4)\.\d+ ohm where 8.* ohm is meant$/,
    ],
  ];
  it.each(mistakes)('names %s before power is raised, and ends the run', async (_, mistake, words) => {
    const { ending, reason, of } = await withMistake(mistake);
    expect(ending.outcome).toBe('stopped');
    expect(reason).toMatch(words);
    expect(of('point')).toEqual([]);
  });

  it('names several mistakes at once', async () => {
    const { reason } = await withMistake({ dead: [4], inverted: [6], loads: new Map([[2, 'open']]) });
    expect(reason).toMatch(/channel 4 is dead.*channel 6 is inverted.*channel 2 is open/);
  });
});

describe('the check of the wiring on a bench without current shunts', () => {
  it.each(['ideal-40', 'stiff-pair', 'seven-shared', 'switching-treble', 'repaired-crossover'])(
    'accuses nobody on %s',
    async (name) => {
      const { ending, of } = await withMistake({}, name);
      expect(ending.outcome).toBe('completed');
      expect(of('note').filter(({ topic }) => topic === 'wiring').length).toBe(2);
    },
  );

  it('says once what it cannot check', async () => {
    const { setup, bench } = twinBench('stiff-pair');
    const played = await play(
      `${CLIMB}  - climb: {id: more, frequency: 1 kHz, from: 100 mW, to: 1 W, marks: [0.1 %], driven: [1]}\n`,
      setup,
      bench,
    );
    const told = played.of('note').filter(({ text }) => text.includes('there is no current shunt'));
    expect(told).toHaveLength(1);
    expect(told[0]!.text).toMatch(/^loads not checked on channels 1 and 2/);
  });

  it('cannot see an open load behind a stiff amplifier, and does not claim to', async () => {
    const { ending } = await withMistake({ loads: new Map([[1, 'open']]) }, 'stiff-pair');
    expect(ending.outcome).toBe('completed');
  });
});

describe('the check of the wiring on a unit with oddities of its own', () => {
  const healthy = clippingUnit(1, 0.4);
  const run = (channels: number, through: Through) =>
    play(CLIMB, benchOf(benchText(channels)), new FakeBench(channels, through));

  it.each<[string, Through]>([
    [
      'gains that differ by 12 dB',
      (samples, channel, start) => clippingUnit(channel === 1 ? 1 : 0.25, 0.4)(samples, channel, start),
    ],
    ['all channels inverting', (samples, channel, start) => healthy(samples, channel, start).map((x) => -x)],
    [
      'hum more than ten times as strong as the tone',
      (samples, channel, start) =>
        healthy(samples, channel, start).map(
          (x, i) => x + 0.04 * Math.sin((2 * Math.PI * 50 * (start + i)) / 48_000 + channel),
        ),
    ],
    [
      'a dead zone in which only the tops of the wave get through',
      (samples, channel, start) =>
        healthy(samples, channel, start).map((x) => Math.sign(x) * Math.max(0, Math.abs(x) - 0.005)),
    ],
    [
      'a filter that delays one channel by a sixth of a cycle',
      (samples, channel, start) => {
        const out = healthy(samples, channel, start);
        return channel === 2 ? out.map((_, i) => out[Math.max(0, i - 8)]!) : out;
      },
    ],
  ])('does not accuse %s', async (_, through) => {
    const played = await run(3, through);
    expect(played.of('note').some(({ text }) => text.includes('each appears on its own input only'))).toBe(
      true,
    );
  });

  it('says of a single channel that it is heard', async () => {
    const played = await run(1, healthy);
    expect(played.of('note').map(({ text }) => text)).toContain(
      'wiring check passed: channel 1 appears on its own input only',
    );
  });

  it('judges by the majority which channel is inverted, and by the first of two', async () => {
    const but =
      (odd: readonly number[]): Through =>
      (samples, channel, start) =>
        healthy(samples, channel, start).map((x) => (odd.includes(channel) ? -x : x));
    const reason = async (channels: number, odd: readonly number[]) =>
      (await run(channels, but(odd))).ending.reason;
    expect(await reason(3, [1])).toMatch(/: channel 1 is inverted against channels 2 and 3$/);
    expect(await reason(4, [2, 4])).toMatch(/: channels 2 and 4 are inverted against channels 1 and 3$/);
    expect(await reason(2, [1])).toMatch(/: channel 2 is inverted against channel 1$/);
  });
});

describe('the check of the wiring with somebody there', () => {
  /** A unit whose second channel is dead until the operator has been asked so often. */
  async function mended(after: number) {
    const asked: string[] = [];
    const bench = new FakeBench(
      2,
      (samples, channel, start) =>
        clippingUnit(channel === 2 && asked.length < after ? 0 : 1, 0.4)(samples, channel, start),
      true,
    );
    const played = await play(CLIMB, benchOf(benchText(2)), bench, {
      ask: async ({ about, text }) => {
        if (about === 'correction' && /are wrong/.test(text)) asked.push(text);
        return true;
      },
    });
    return { ...played, asked };
  }

  it('asks to mend what is wrong, checks again, and goes on', async () => {
    const { ending, asked, of } = await mended(1);
    expect(ending.outcome).toBe('completed');
    expect(asked).toHaveLength(1);
    expect(asked[0]).toMatch(/channel 2 is dead.*Switch the unit off.*Correct the connections/s);
    const topics = of('note').filter(({ topic }) => topic === 'wiring');
    expect(topics[0]!.text).toMatch(/wrong connections/);
    expect(topics[1]!.text).toMatch(/channels 1 and 2, each appears/);
  });

  it('gives up when it is still wrong after it was mended three times', async () => {
    const { ending, asked } = await mended(99);
    expect(ending.outcome).toBe('stopped');
    expect(ending.reason).toMatch(/channel 2 is dead/);
    expect(asked).toHaveLength(3);
  });
});

describe('the check of the wiring between steps', () => {
  it('is made again after a change of loads, and not before a step that changes nothing', async () => {
    const two = benchText(2).replaceAll(
      'load: {nominal: 8 ohm, rating: 400 W, uncertainty: 0.3 %}',
      'load: [{nominal: 8 ohm, rating: 400 W, uncertainty: 0.3 %}, {nominal: 4 ohm, rating: 400 W, uncertainty: 0.3 %}]',
    );
    const again = (id: string, load: string) =>
      `  - climb: {id: ${id}, load: ${load}, frequency: 1 kHz, from: 100 mW, to: 1 W, marks: [0.1 %]}\n`;
    const played = await play(
      CLIMB + again('same', '8 ohm') + again('other', '4 ohm'),
      benchOf(two),
      new FakeBench(2, clippingUnit(1, 0.4)),
    );
    expect(played.ending.outcome).toBe('completed');
    const checks = played.of('note').filter(({ text }) => text.includes('wiring check passed'));
    expect(checks).toHaveLength(2);
  });
});
