import { describe, expect, it } from 'vitest';
import { findingKey, numberOf } from '../../src/record/finding.js';
import type { Ask, CourseEvent } from '../../src/runner/course/run-request.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { seededRandom } from '../../src/signal/dither.js';
import { kept, type Seen, session } from './broken-run.js';
import { clippingUnit, FakeBench } from './fake-bench.js';
import { foundIn } from './found.js';
import { benchOf, benchText } from './run.js';

const SEQUENCE = `
name: Two steps
load: 8 ohm
steps:
  - climb: {id: climb-1k, frequency: 1 kHz, from: 1 W, marks: [0.1 %, 1 %]}
  - sweep: {id: band, level: 1/2 of 1 % of climb-1k, frequencies: [250 Hz, 1 kHz, 4 kHz]}
`;

const setup = benchOf(benchText(2));
const planOf = (text: string) => makePlan(readSequence(text, 'test.yaml'), setup);
const plan = planOf(SEQUENCE);
const bench = (gain = 1, energises = false) => new FakeBench(2, clippingUnit(gain, 0.4), energises);
const fresh = () => ({ plan, setup, bench: bench() });

function expectWhole({ events, ending }: Seen, whole: Seen): void {
  expect(ending).toEqual(whole.ending);
  const [record, model] = [kept(events), kept(whole.events)];
  expect(record.points.map(({ number }) => number)).toEqual(record.points.map((_, i) => i + 1));
  for (const [i, { at_s }] of record.points.entries())
    expect(at_s).toBeGreaterThanOrEqual(record.points[i - 1]?.at_s ?? 0);
  const keys = record.findings.map(findingKey);
  expect(new Set(keys).size).toBe(keys.length);
  expect([...keys].sort()).toEqual(model.findings.map(findingKey).sort());
  for (const finding of record.findings) {
    const twin = model.findings.find((one) => findingKey(one) === findingKey(finding))!;
    const [value, other] = [numberOf(finding), numberOf(twin)];
    if (finding.quantity !== 'max-power' || value === null || other === null) continue;
    // The final bracket is at most 0.05 dB wide; interpolation within it is far better than that.
    expect(Math.abs(10 * Math.log10(value / other))).toBeLessThan(0.05);
  }
}

describe('a run that died at any moment', () => {
  it('goes on from what was stored and comes to the results of one that did not', {
    timeout: 120_000,
  }, async () => {
    const whole = await session(fresh());
    expect(whole.ending?.outcome).toBe('completed');
    const roll = seededRandom(20260301);
    const instants = [0, whole.events.length - 1];
    for (let i = 0; i < 8; i += 1) instants.push(Math.floor(roll() * whole.events.length));
    for (const instant of instants) {
      const broken = await session(fresh(), [], instant);
      expect(broken.ending).toBeNull();
      const resumed = await session(fresh(), broken.events);
      const before = broken.events.length;
      expect(kept(resumed.events.slice(0, before))).toEqual(kept(whole.events.slice(0, before)));
      expectWhole(resumed, whole);
    }
  });

  it('goes on as often as it dies', { timeout: 60_000 }, async () => {
    const whole = await session(fresh());
    let seen: Seen = await session(fresh(), [], 10);
    for (let sessions = 2; seen.ending === null && sessions < 20; sessions += 1)
      seen = await session(fresh(), seen.events, 25);
    expectWhole(seen, whole);
    expect(
      kept(seen.events).events.filter((event) => event.kind === 'note' && event.topic === 'resume').length,
    ).toBeGreaterThan(2);
  });

  it('reads no tone of a sweep twice, and no level of a climb', async () => {
    const whole = await session(fresh());
    const at = (count: number) => {
      const points = whole.events.flatMap(({ kind }, i) => (kind === 'point' ? [i] : []));
      return points.at(count)! + 1;
    };
    for (const instant of [at(8), at(-2)]) {
      const { events } = await session(fresh(), (await session(fresh(), [], instant)).events);
      const places = kept(events).points.map(({ step, nominal_Hz, level_dB }) =>
        step === 'band' ? `${nominal_Hz}` : level_dB.toFixed(3),
      );
      expect(new Set(places).size).toBe(places.length);
      expect(places.length).toBeLessThanOrEqual(kept(whole.events).points.length + 1);
    }
  });

  it('keeps the uncertainty that the results would have had', async () => {
    const whole = await session(fresh());
    const last = whole.events.findIndex(({ kind }) => kind === 'finding');
    const resumed = await session(fresh(), (await session(fresh(), [], last)).events);
    const powers = ({ events }: Seen) =>
      kept(events).findings.filter(({ quantity }) => quantity === 'max-power');
    expect(powers(resumed).map(({ uncertainty }) => uncertainty)).toEqual(
      powers(whole).map(({ uncertainty }) => uncertainty),
    );
  });
});

describe('a ceiling that was broken off', () => {
  const ceilings = planOf(`
name: Ceilings
load: 8 ohm
steps:
  - ceiling: {id: top, threshold: 0.1 %, from: 1 W, frequencies: [250 Hz, 500 Hz, 1 kHz, 2 kHz]}
`);
  const stand = () => ({ plan: ceilings, setup, bench: bench() });

  it('goes on at the capture it had come to, and finds the same', { timeout: 60_000 }, async () => {
    const whole = await session(stand());
    const roll = seededRandom(8);
    for (let i = 0; i < 5; i += 1) {
      const instant = 1 + Math.floor(roll() * (whole.events.length - 1));
      const resumed = await session(stand(), (await session(stand(), [], instant)).events);
      expectWhole(resumed, whole);
      // A capture more at most: the gain that levels are reckoned by was probed anew.
      const captures = ({ events }: Seen) => kept(events).points.length;
      expect(captures(resumed)).toBeLessThanOrEqual(captures(whole) + 1);
    }
  });
});

describe('a hold that was broken off', () => {
  const holding = planOf(`
name: Holding
load: 8 ohm
steps:
  - warm-up: {id: warm, level: 2 W, for: 2 s, every: 1 s}
  - hold: {id: stay, frequency: 1 kHz, level: 10 W, for: 12 s, every: 3 s}
`);
  const stand = () => ({ plan: holding, setup, bench: bench() });
  const holdsOf = ({ events }: Seen) =>
    (['first', 'last', 'minimum'] as const).flatMap((statistic) => foundIn({ events }, 'power', statistic));
  const pointsOf = ({ events }: Seen, step: string) =>
    kept(events).points.filter((point) => point.step === step);

  it('is held for the time left, at the drive it had, after the whole warm-up', async () => {
    const whole = await session(stand());
    const third = whole.events.flatMap((event, i) =>
      event.kind === 'point' && event.point.step === 'stay' ? [i] : [],
    )[2]!;
    const broken = await session(stand(), [], third + 1);
    const other = stand();
    const resumed = await session(other, broken.events);
    expect(resumed.ending?.outcome).toBe('completed');
    expect(pointsOf(resumed, 'warm').length).toBe(2 * pointsOf(whole, 'warm').length);
    // Two thirds of the hold are over at the third point; with the warm-up, the probes and a capture again.
    const held = pointsOf(broken, 'stay');
    const left_s = 12 - (held.at(-1)!.at_s - held[0]!.at_s);
    expect(other.bench.now_s()).toBeLessThan(2 + left_s + 3);
    expect(new Set(pointsOf(resumed, 'stay').map(({ level_dB }) => level_dB.toFixed(6))).size).toBe(1);
    // Three figures of two channels.
    expect(holdsOf(resumed)).toHaveLength(6);
    for (const [i, { statistic, value, terms, remarks }] of holdsOf(resumed).entries()) {
      const twin = holdsOf(whole)[i]!;
      expect(Math.abs(terms.seconds! - twin.terms.seconds!)).toBeLessThan(0.5);
      expect(value).toBeCloseTo(twin.value!, 6);
      const after_s = remarks.flatMap((one) => (one.code === 'interrupted' ? [Math.round(one.after_s)] : []));
      expect(after_s).toEqual(statistic === 'first' ? [6] : []);
    }
  });

  it('whose time was over plays nothing of it again', async () => {
    const whole = await session(stand());
    const ends = whole.events.findIndex(({ kind }) => kind === 'finding');
    const resumed = await session(stand(), (await session(stand(), [], ends)).events);
    expect(pointsOf(resumed, 'stay').length).toBeLessThanOrEqual(pointsOf(whole, 'stay').length + 1);
    expect(holdsOf(resumed)).toHaveLength(6);
  });
});

describe('taking up a run', () => {
  const firstPoints = async (count: number, of = fresh()) => {
    const { events } = await session(of);
    const ends = events.flatMap(({ kind }, i) => (kind === 'point' ? [i + 1] : []));
    return events.slice(0, ends[count - 1]);
  };
  const stepsIn = (events: readonly CourseEvent[]) =>
    events.flatMap((event) => (event.kind === 'step-entered' ? [`${event.step} ${event.entry}`] : []));

  it('says where and after what', async () => {
    const before = await firstPoints(5);
    const { events } = await session(fresh(), before);
    const note = kept(events).events.find((event) => event.kind === 'note' && event.topic === 'resume')!;
    expect('text' in note && note.text).toBe(
      'resumed at point 6, climb-1k; the session before was interrupted: the program ended without closing the run',
    );
    expect(note.at_s).toBe(Math.max(...kept(before).points.map(({ at_s }) => at_s)));
    expect(stepsIn(events)).toEqual(['climb-1k first', 'climb-1k on', 'band first']);
  });

  it('stops when the unit gives another level than before at the same drive', async () => {
    const before = await firstPoints(5);
    for (const [gain, words] of [
      [0.9, /channel 1 gives 0\.92 dB less at the drive of point 1 than before/],
      [1.2, /channel 1 gives 1\.58 dB more/],
    ] as const) {
      const other = bench(gain);
      const { ending, events } = await session({ plan, setup, bench: other }, before);
      expect(ending?.outcome).toBe('stopped');
      expect(ending?.reason).toMatch(words);
      expect(kept(events).points).toHaveLength(5);
      expect(kept(events).findings).toEqual([]);
    }
  });

  it('never plays louder than the step has played before it knows that the unit is the same', async () => {
    const before = await firstPoints(kept((await session(fresh())).events).points.length - 1);
    const louder = bench(4);
    const { ending } = await session({ plan, setup, bench: louder }, before);
    expect(ending?.reason).toMatch(/12\.04 dB more/);
    const strongest = Math.max(...kept(before).readings.map(({ peak_V }) => peak_V));
    // Digital full scale is 100 V at the load.
    expect(100 * 4 * louder.loudest).toBeLessThan(strongest);
  });

  it('asks once more whether what was confirmed before still holds, on a bench with power', async () => {
    const asking = planOf(
      SEQUENCE.replace(
        'steps:',
        'steps:\n  - ask: Is the fan on?\n  - ask: {text: Is it warm?, once_connected: true}',
      ),
    );
    const stand = { plan: asking, setup, bench: bench(1, true) };
    const before = await firstPoints(3, stand);
    const asked: string[] = [];
    const subjects: string[] = [];
    const ask: Ask = async ({ about, text }) => {
      asked.push(text);
      subjects.push(about);
      return true;
    };
    const { ending } = await session({ plan: asking, setup, bench: bench(1, true), ask }, before);
    expect(ending?.outcome).toBe('completed');
    expect(subjects.slice(0, 2)).toEqual(['resumption', 'set-up']);
    const again = subjects.lastIndexOf('resumption');
    expect(subjects.slice(again - 1, again + 2)).toEqual(['set-up', 'resumption']);
    expect(asked[again]).toMatch(/^Before the interruption this was confirmed: "Is it warm\?"/);
    expect(asked[0]).toMatch(/^Before the interruption this was confirmed: "Is the fan on\?"/);
    expect(asked[1]).toMatch(/^Switch the unit off\..*Connect 8 ohm to each of channels 1 and 2/);
    const no = async () => false;
    const refused = await session({ plan: asking, setup, bench: bench(1, true), ask: no }, before);
    expect(refused.ending?.outcome).toBe('stopped');
  });

  it('is refused when the run has steps that the plan does not have', async () => {
    const before = await firstPoints(2);
    const other = planOf(SEQUENCE.replaceAll('climb-1k', 'another'));
    await expect(session({ plan: other, setup, bench: bench() }, before)).rejects.toThrow(
      /a step 'climb-1k' that its sequence no longer leads to/,
    );
  });
});
