import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import type { BenchSetup } from '../../../src/bench/bench-setup.js';
import type { Reading } from '../../../src/record/run-record.js';
import { decidingTones } from '../../../src/runner/search/deciding-tones.js';
import { makePlan } from '../../../src/sequence/make-plan.js';
import { readSequence } from '../../../src/sequence/sequence-file.js';
import type { CoherentTone } from '../../../src/signal/coherent-tone.js';
import { dBW } from '../../../src/units/decibel.js';
import { kept, type Seen, session } from '../../runner/broken-run.js';
import { type Played, play } from '../../runner/run.js';
import { twinBench } from '../../runner/twin-bench.js';

const tone = (nominal_Hz: number) => ({ nominal_Hz }) as CoherentTone;
const swept = (nominal_Hz: number, thdn_percent: number, flags: Reading['flags'] = []) => ({
  tone: tone(nominal_Hz),
  readings: [
    { thdn_percent: 0.01, flags: [] as Reading['flags'] },
    { thdn_percent, flags },
  ] as Reading[],
});

describe('the frequencies that decide the full-band power', () => {
  const named = (tones: readonly CoherentTone[]) => tones.map(({ nominal_Hz }) => nominal_Hz);

  it('are those at which any channel passed the limit or missed its level, the worst first', () => {
    const sweep = [
      swept(20, 0.12),
      swept(63, 0.02, ['power-not-reached']),
      swept(1000, 0.09),
      swept(20_000, 0.3),
    ];
    const tones = [20, 63, 1000, 20_000].map(tone);
    expect(named(decidingTones(tones, sweep, 0.1))).toEqual([20_000, 20, 63]);
  });

  it('include those whose uncertainty reaches over the limit', () => {
    const unsure = swept(10_000, 0.0996);
    const readings = unsure.readings.map((reading) => ({ ...reading, thdn_uncertainty_percent: 0.0005 }));
    expect(decidingTones([tone(10_000)], [{ ...unsure, readings }], 0.1)).toHaveLength(1);
    expect(decidingTones([tone(10_000)], [unsure], 0.1)).toEqual([]);
  });

  it('are none where the sweep kept the limit everywhere', () => {
    expect(decidingTones([tone(20)], [swept(20, 0.05)], 0.1)).toEqual([]);
  });

  it('end with those that the sweep has left out', () => {
    expect(named(decidingTones([20, 50, 1000].map(tone), [swept(20, 0.05), swept(1000, 0.2)], 0.1))).toEqual([
      1000, 50,
    ]);
  });
});

describe('rated-power on the stiff pair, whose sweep passes the limit by a hair', () => {
  let played: Played;
  let full: { readonly nominal_Hz: number; readonly reading: Reading }[];

  beforeAll(async () => {
    const path = fileURLToPath(new URL('../../../sequences/rated-power.yaml', import.meta.url));
    const { setup, bench } = twinBench('stiff-pair');
    played = await play(readFileSync(path, 'utf8'), setup, bench);
    full = played
      .of('point')
      .flatMap(({ point, readings }) =>
        point.stepKind === 'climb'
          ? []
          : readings.map((reading) => ({ nominal_Hz: point.nominal_Hz, reading })),
      );
  }, 120_000);

  it('ends with a power that every channel was read to keep at each of 31 frequencies', () => {
    expect(played.ending.outcome).toBe('completed');
    const best = new Map<string, number>();
    for (const { nominal_Hz, reading } of full) {
      if (reading.thdn_percent + (reading.thdn_uncertainty_percent ?? 0) >= 0.1) continue;
      const key = `${nominal_Hz} ${reading.channel}`;
      best.set(key, Math.max(best.get(key) ?? 0, reading.power_W));
    }
    expect(best.size).toBe(62);
    const found = played
      .of('finding')
      .map(({ finding }) => finding)
      .filter(({ quantity, setting }) => quantity === 'max-power' && setting.step_kind === 'max-power')
      .map(({ value }) => Number(value));
    const least_W = Math.min(...found);
    // Of a stiff unit all frequencies reach nearly the same: what was found at the worst, less the margin of the checks.
    for (const power_W of best.values()) expect(dBW(power_W / least_W)).toBeGreaterThan(-0.05);
  });

  it('says what limits it, at the frequency and on the channel that decide', () => {
    const findings = played.of('finding').map(({ finding }) => finding);
    const causes = findings.filter(
      ({ quantity, setting }) => quantity === 'cause' && setting.step_kind === 'max-power',
    );
    const lowest = findings
      .filter(({ quantity, setting }) => quantity === 'max-power' && setting.step_kind === 'max-power')
      .reduce((a, b) => (Number(b.value) < Number(a.value) ? b : a));
    expect(causes.map(({ setting, stimulus }) => [setting.channel, stimulus.nominal_Hz])).toEqual([
      [lowest.setting.channel, lowest.stimulus.nominal_Hz],
    ]);
  });

  it('accuses no sound channel of having changed', () => {
    expect(full.filter(({ reading }) => reading.flags.includes('not-as-before'))).toEqual([]);
  });

  it('spends fewer captures on it than on the sweep', () => {
    const captures = played.of('point').filter(({ point }) => point.stepKind === 'max-power');
    expect(captures.length).toBeLessThan(31);
  });
});

describe('a search for the full-band power that was broken off before its first point', () => {
  const plan = (setup: BenchSetup) =>
    makePlan(
      readSequence(
        `
name: Full band
load: 8 ohm
steps:
  - climb: {id: up, frequency: 1 kHz, from: 1 W, marks: [0.1 %], stop: 0.1 %}
  - sweep: {id: band, level: 0.1 % of up, frequencies: [500 Hz, 1 kHz, 2 kHz, 4 kHz], hold: power}
  - max-power: {id: full, threshold: 0.1 %, frequencies: [500 Hz, 1 kHz, 2 kHz, 4 kHz], start: 0.1 % of up, full_band: true}
`,
        'test.yaml',
      ),
      setup,
    );
  const stand = () => {
    const { setup, bench } = twinBench('stiff-pair', (text) => text.replace(/rate: .* kHz/, 'rate: 48 kHz'));
    return { plan: plan(setup), setup, bench };
  };
  const pointsOf = ({ events }: Seen, step: string) =>
    kept(events).points.filter((point) => point.step === step);

  it('goes on from the sweep as it is stored, and looks at no more frequencies than before', async () => {
    const whole = await session(stand());
    const entered = whole.events.findIndex((event) => event.kind === 'step-entered' && event.step === 'full');
    const resumed = await session(stand(), (await session(stand(), [], entered + 1)).events);
    expect(resumed.ending?.outcome).toBe('completed');
    expect(pointsOf(resumed, 'band')).toHaveLength(4);
    const frequencies = (seen: Seen) => [
      ...new Set(pointsOf(seen, 'full').map(({ nominal_Hz }) => nominal_Hz)),
    ];
    expect(frequencies(whole).length).toBeLessThan(4);
    expect(frequencies(resumed)).toEqual(frequencies(whole));
  }, 60_000);
});
