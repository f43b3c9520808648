import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { loadWarmthBefore } from '../../../src/cli/run/warm-loads.js';
import type { RunSummary } from '../../../src/record/run-list.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import type { RunFilter, RunStore } from '../../../src/store/contract/run-store.js';
import { RunAltered } from '../../../src/store/contract/store-errors.js';
import { LoadLedger } from '../../../src/store/state/load-ledger.js';
import { benchOf } from '../../runner/run.js';

const CHANNEL = `
  - output: {full_scale: 1 V rms}
    input: {full_scale: 4 V peak}
    attenuator: {ratio: 25, rating: 200 V peak}
    load: {nominal: 8 ohm, rating: 100 W, thermal: 300 s}`;
const benchText = (channels: string) =>
  `name: Stereo\ninterface: {kind: command, argv: [player, '{stimulus}', '{response}'], rate: 48 kHz, hardware: yes}\nchannels:${channels}\n`;
const setup = benchOf(benchText(CHANNEL.repeat(2)));
const HOLD = `name: Hold
load: 8 ohm
driven: all
steps:
  - hold: {id: stay, frequency: 1 kHz, level: 50 W, for: 2 min, every: 10 s}
`;

const NOON_ms = Date.parse('2026-03-01T12:00:00Z');
const clock = (seconds: number) => new Date(NOON_ms + 1000 * seconds).toISOString();

/** A run of 100 s at 50 W in both channels, begun at that second. */
function held(run: number, from_s: number, bench = setup): RunRecord {
  const points = Array.from({ length: 11 }, (_, i) => ({
    ...{
      number: i + 1,
      step: 'stay',
      stepKind: 'hold',
      nominal_Hz: 1000,
      frequency_Hz: 1000,
      driven: [1, 2],
    },
    ...{ load_ohm: 8, mains_V: null, cell: '', level_dB: -3, asked_W: 50, at_s: 10 * i },
  }));
  const record = {
    ...{
      run,
      outcome: 'completed',
      reason: '',
      version: '1',
      unit: { label: 'u' },
      claim: null,
      permit: null,
    },
    ...{ started: clock(from_s), ended: clock(from_s + 100) },
    bench: { name: bench.name, kind: 'command', rate_Hz: 48_000, text: bench.text, sha256: bench.sha256 },
    sequence: { name: 'Hold', text: HOLD, sha256: '' },
    ...{ calibration: [], checklist: [], sessions: [], probes: [], findings: [], events: [], points },
    readings: points.flatMap(({ number }) =>
      [1, 2].map((channel) => ({ point: number, channel, power_W: 50 })),
    ),
  };
  return record as unknown as RunRecord;
}

/** A run that is damaged in its row, and when it was last resumed. */
interface Damaged {
  readonly damaged: number;
  readonly resumed_ms: number;
}

/** As much of a store as is asked here. A run without points is damaged in what it holds. */
function storeOf(...records: (RunRecord | Damaged)[]): RunStore {
  const summary = ({ bench, points, ...record }: RunRecord) =>
    ({
      ...record,
      bench: bench.name,
      bench_kind: bench.kind,
      points: points.length,
      imported_from: null,
    }) as unknown as RunSummary;
  return {
    runs: async ({ altered }: RunFilter) =>
      records.flatMap((one) => {
        if ('run' in one) return summary(one);
        if (!altered) throw new RunAltered('a.db', one.damaged, 'its times');
        altered(one.damaged, one.resumed_ms);
        return [];
      }),
    run: async (run: number) => {
      const found = records.find((one) => 'run' in one && one.run === run) as RunRecord;
      if (found.points.length === 0) throw new RunAltered('a.db', run, 'its points');
      return found;
    },
  } as unknown as RunStore;
}

let folder = '';
const before = process.env.XDG_STATE_HOME;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-warm-'));
  process.env.XDG_STATE_HOME = folder;
});
afterEach(() => {
  process.env.XDG_STATE_HOME = before;
  if (before === undefined) delete process.env.XDG_STATE_HOME;
  rmSync(folder, { recursive: true, force: true });
});

const warmAt = async (seconds: number, store: RunStore | null, bench = setup) =>
  (await loadWarmthBefore(bench, store, () => NOON_ms + 1000 * seconds))!;
const perLoad = (mean_W: number, energy_J: number) =>
  [1, 2].map((channel) => ({
    ...{ channel, load_ohm: 8 },
    mean_W: expect.closeTo(mean_W, 6),
    energy_J: expect.closeTo(energy_J, 6),
  }));
/** The records of a run that put 50 W into both loads for 100 s, each as it was last kept. */
function keep(from_s: number, kept_s = 100, channels = [1, 2]) {
  let now_ms = NOON_ms + 1000 * from_s;
  const ledger = new LoadLedger(join(folder, 'ohmest'), setup, () => now_ms);
  now_ms += 1000 * kept_s;
  ledger.keep(channels.map((channel) => ({ channel, load_ohm: 8, mean_W: HELD_W, energy_J: 5000 })));
}

/** 50 W (1 - e^(-100/300)), in each load, which took 50 W for 100 s. */
const HELD_W = 50 * (1 - Math.exp(-1 / 3));

describe('the loads of a bench before a run', () => {
  it('have each taken their own energy, whether a database or a record tells of it, or both', async () => {
    expect((await warmAt(100, storeOf(held(1, 0)))).before).toEqual(perLoad(HELD_W, 5000));
    keep(0);
    expect((await warmAt(100, null)).before).toEqual(perLoad(HELD_W, 5000));
    expect((await warmAt(100, storeOf(held(1, 0)))).before).toEqual(perLoad(HELD_W, 5000));
  });

  it('are as warm as two users have made them in turn', async () => {
    keep(0);
    const left_W = HELD_W * Math.exp(-200 / 300);
    expect((await warmAt(300, storeOf(held(1, 0), held(2, 200)))).before).toEqual(
      perLoad(HELD_W + left_W, 10_000),
    );
  });

  it.each([
    ['in what it holds, since it ended', storeOf({ ...held(1, 0), points: [] }, held(2, 100))],
    ['in its row, since the next one began', storeOf({ damaged: 1, resumed_ms: 0 }, held(2, 100))],
  ])('count as at their ratings where a run is damaged %s, which refuses no other', async (_, store) => {
    const { before: warm, words } = await warmAt(250, store);
    const [damaged_W, own_W] = [100 * Math.exp(-150 / 300), HELD_W * Math.exp(-50 / 300)];
    expect(warm.map(({ mean_W }) => mean_W)).toEqual(Array(2).fill(expect.closeTo(damaged_W + own_W, 6)));
    expect(words.filter((line) => line.includes('Run 1 of this database is damaged'))).toHaveLength(1);
  });

  it.each([
    ['until now', [], 100],
    ['until the next one after that began', [held(3, 200)], 100 * Math.exp(-50 / 300)],
  ])('count as at their ratings by a damaged run that was resumed after the next: %s', async (_, more, W) => {
    const store = storeOf({ damaged: 1, resumed_ms: NOON_ms + 150_000 }, held(2, -9000), ...more);
    const own_W = more.length * HELD_W;
    const { before: warm } = await warmAt(250, store);
    expect(warm.map(({ mean_W }) => mean_W)).toEqual(
      Array(2).fill(expect.closeTo(Math.min(100, W + own_W), 6)),
    );
  });

  it.each([
    [90, HELD_W * Math.exp(-10 / 300), 5000],
    [89, HELD_W * (1 + Math.exp(-11 / 300)), 10_000],
  ])(
    'have what the database tells of a run whose record of that load ends at %i s of 100 s',
    async (kept_s, mean_W, energy_J) => {
      keep(0, 100, [1]);
      keep(0, kept_s, [2]);
      const { before: warm } = await warmAt(100, storeOf(held(1, 0)));
      expect(warm).toEqual([perLoad(HELD_W, 5000)[0], perLoad(mean_W, energy_J)[1]]);
    },
  );

  it('have their share from the records where each session of a run kept its own', async () => {
    keep(0);
    keep(200);
    const sessions = [
      { number: 2, started: clock(200), at_s: 100, first_point: 12, before: '', permit: null },
    ];
    const events = [{ kind: 'ended', at_s: 200 }] as unknown as RunRecord['events'];
    const resumed: RunRecord = { ...held(1, 0), ended: clock(300), sessions, events };
    const both_W = HELD_W * (1 + Math.exp(-200 / 300));
    expect((await warmAt(300, storeOf(resumed))).before).toEqual(perLoad(both_W, 10_000));
    const unkept = { ...resumed, sessions: [{ ...sessions[0]!, started: clock(400) }], ended: clock(500) };
    const [kept, all] = [await warmAt(500, null), await warmAt(500, storeOf(unkept))];
    expect(all.before[0]!.mean_W).toBeGreaterThan(kept.before[0]!.mean_W + HELD_W / 2);
  });

  it('that two channels share by a label are counted once', async () => {
    const labelled = benchOf(benchText(CHANNEL.replace('300 s}', '300 s, label: rack}').repeat(2)));
    const { before: warm } = await warmAt(100, storeOf(held(1, 0, labelled)), labelled);
    expect(warm).toEqual(perLoad(HELD_W, 10_000));
  });

  it('forget a damaged run as any other', async () => {
    const { before: warm, words } = await warmAt(9000, storeOf({ damaged: 1, resumed_ms: 0 }, held(2, 100)));
    expect([warm, words.join()]).toEqual([[], expect.not.stringContaining('damaged')]);
  });
});
