import { describe, expect, it } from 'vitest';
import { clippingUnit, FakeBench } from '../fake-bench.js';
import { foundIn } from '../found.js';
import { benchOf, benchText, type Played, play } from '../run.js';
import { twinBench } from '../twin-bench.js';

/** The reference clipper's bench with another twin, both loads, and a rate that passes the third harmonic of 20 kHz. */
const benchWith = (twin: string, rate = '192 kHz') =>
  twinBench('ideal-40', (text) =>
    text
      .replace('twin: ideal-40', `twin: ${twin}`)
      .replace('48 kHz', rate)
      .replace(/load: (.*)$/m, 'load: [$1, {nominal: 4 ohm, rating: 500 W, uncertainty: 0 %}]'),
  );

const ceilingsAt = (frequencies: string, threshold = '0.1 %', loads = '') => `
name: Ceilings
load: 8 ohm
driven: all
steps:
  - ${loads ? `repeat: {loads: [${loads}], steps: [` : ''}{ceiling: {id: top, threshold: ${threshold}, frequencies: [${frequencies}], from: 250 mW, to: 240 W}}${loads ? ']}' : ''}
`;

const causes = (played: Played) => foundIn(played, 'cause');

const ofCeilings = async (twin: string, frequencies: string, threshold = '0.1 %', loads = '') => {
  const { setup, bench } = benchWith(twin);
  const played = await play(ceilingsAt(frequencies, threshold, loads), setup, bench);
  expect(played.ending).toMatchObject({ outcome: 'completed' });
  return played;
};

describe('where a ceiling falls short of that of 1 kHz', () => {
  it.each([
    ['cause-sag', 20, 'supply-sag', 'at 100 Hz, twice a mains cycle'],
    ['cause-slew', 20_000, 'slew-limit', 'V/us'],
  ])('%s at %d Hz is put down to its true cause', async (twin, nominal_Hz, cause, evidence) => {
    const played = await ofCeilings(twin, '20 Hz, 1 kHz, 20 kHz');
    expect(causes(played)).toHaveLength(1);
    const [only] = causes(played);
    expect(only).toMatchObject({ nominal_Hz, channel: 1, load_ohm: 8, driven: [1] });
    expect(only!.causes[0]).toMatchObject({ cause });
    expect(only!.causes[0]!.confidence).toBeGreaterThan(0.9);
    expect(only!.causes[0]!.evidence.join('; ')).toContain(evidence);
  });

  it('nothing is said of a unit that falls short nowhere, and no further level is played', async () => {
    const played = await ofCeilings('cause-none', '20 Hz, 1 kHz, 20 kHz');
    expect(causes(played)).toEqual([]);
  });

  it('a threshold that no level keeps is explained at every frequency, first of all by the crossover that causes it', async () => {
    const played = await ofCeilings('cause-crossover', '100 Hz, 1 kHz, 20 kHz');
    expect(causes(played).map(({ nominal_Hz }) => nominal_Hz)).toEqual([100, 1000, 20_000]);
    for (const result of causes(played)) expect(result.causes[0]!.cause).toBe('crossover');
  });

  it('captures are no points: the readings are those of the search alone', async () => {
    const played = await ofCeilings('cause-slew', '1 kHz, 20 kHz');
    const captures = foundIn(played, 'max-power').reduce((sum, { terms }) => sum + terms.captures!, 0);
    expect(played.of('point')).toHaveLength(captures);
  });
});

describe('where one load falls short of what another promises', () => {
  it.each([
    ['8 ohm, 4 ohm', 'the lighter first'],
    ['4 ohm, 8 ohm', 'the heavier first'],
  ])('a current limit is told from both, %s (%s)', async (loads) => {
    const played = await ofCeilings('cause-current', '1 kHz', '0.1 %', loads);
    const [only, ...more] = causes(played);
    expect(more).toEqual([]);
    expect(only).toMatchObject({ load_ohm: 4, nominal_Hz: 1000, step: 'top/4ohm' });
    expect(only!.causes[0]).toMatchObject({ cause: 'current-limit', confidence: 0.95 });
    expect(only!.causes[0]!.evidence.join()).toMatch(/7(\.0\d)? A\) into 4 ohm .* into 8 ohm/);
  });

  it('an output filter that 4 ohm close in on is told in the treble', async () => {
    const played = await ofCeilings('cause-filter', '1 kHz, 20 kHz', '0.1 %', '8 ohm, 4 ohm');
    expect(causes(played)).toHaveLength(1);
    expect(causes(played)[0]).toMatchObject({ load_ohm: 4, nominal_Hz: 20_000 });
    expect(causes(played)[0]!.causes[0]).toMatchObject({ cause: 'output-filter' });
  });

  it('rails that give 4 ohm nearly as many volts as 8 ohm are left alone', async () => {
    expect(causes(await ofCeilings('cause-rails', '1 kHz', '0.1 %', '8 ohm, 4 ohm'))).toEqual([]);
  });
});

describe('after a climb', () => {
  const climb = `
name: Climb
load: 8 ohm
driven: all
steps:
  - repeat: {loads: [8 ohm, 4 ohm], steps: [{climb: {id: up, frequency: 1 kHz, from: 250 mW, to: 240 W, marks: [0.1 %, 1 %]}}]}
`;

  it('a load that falls short is explained when no ceilings are searched for', async () => {
    const { setup, bench } = benchWith('cause-current', '48 kHz');
    const [only] = causes(await play(climb, setup, bench));
    expect(only).toMatchObject({ step: 'up/4ohm', load_ohm: 4 });
    expect(only!.causes[0]!.cause).toBe('current-limit');
  });
});

describe('a hold', () => {
  const hold = (power: string, time: string) => `
name: Hold
load: 4 ohm
driven: all
steps:
  - hold: {id: stay, frequency: 1 kHz, level: ${power}, for: ${time}}
`;

  it('whose level falls is explained from its course', async () => {
    const { setup, bench } = benchWith('cause-heat', '48 kHz');
    const played = await play(hold('40 W', '3 min'), setup, bench);
    expect(played.ending.outcome).toBe('completed');
    expect(causes(played)[0]?.causes[0]).toMatchObject({ cause: 'heat' });
  });

  it('whose level stands is not', async () => {
    const { setup, bench } = benchWith('cause-none', '48 kHz');
    expect(causes(await play(hold('40 W', '10 s'), setup, bench))).toEqual([]);
  });
});

describe('on many channels', () => {
  it('the weakest stands for those that fall short alike', async () => {
    // Slope limits are not needed here: a level that clips earlier at 5 kHz does.
    const bench = new FakeBench(4, (samples, channel, start) =>
      clippingUnit(1, samples[1] !== undefined && isFast(samples) ? 0.3 : 0.4)(samples, channel, start),
    );
    const played = await play(ceilingsAt('1 kHz, 4 kHz'), benchOf(benchText(4)), bench);
    expect(played.ending.outcome).toBe('completed');
    expect(causes(played)).toHaveLength(1);
  });
});

/** Whether a block holds more than 2.5 cycles a millisecond. */
function isFast(samples: Float64Array): boolean {
  let turns = 0;
  for (let n = 1; n < samples.length; n += 1) if (samples[n - 1]! * samples[n]! < 0) turns += 1;
  return turns / samples.length > (2 * 2500) / 48_000;
}
