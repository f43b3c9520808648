import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { FlagCode } from '../../../src/measure/flags.js';
import { formatQuantity } from '../../../src/units/format.js';
import type { RunView } from '../../../src/view/run-view.js';
import { columnsOf } from '../../../src/view/terminal/fit.js';
import { runPicture } from '../../../src/view/terminal/run-picture.js';
import { curveOf, latestOf, viewOf } from './view-fixture.js';

const picture = (view: RunView, width = 80, rows = 23): string[] =>
  runPicture(view, { width, rows }).map(({ text }) => text);

const SEED = 20_260_101;
const text = fc.string({ unit: 'binary', maxLength: 120 });
const amount = fc.double({ min: -1, max: 1e6 });
const dot = fc.record({
  channel: fc.integer({ min: 1, max: 64 }),
  frequency_Hz: fc.double({ min: 1, max: 96_000, noNaN: true }),
  power_W: amount,
  thdn_percent: fc.double({ min: 0, max: 100 }),
  at_s: fc.double({ min: 0, max: 1e6, noNaN: true }),
});
const views = fc
  .record({
    unit: text,
    bench: text,
    sequence: text,
    armed: fc.array(text, { maxLength: 9 }),
    claim_W: fc.option(fc.double({ min: 1e-3, max: 1e5, noNaN: true })),
    latest: fc.array(fc.record({ channel: fc.integer({ min: 1, max: 64 }), power_W: amount }), {
      maxLength: 64,
    }),
    events: fc.array(fc.record({ at_s: fc.double({ min: 0, max: 1e6 }), kind: text, text }), {
      maxLength: 9,
    }),
    kind: fc.constantFrom('climb', 'sweep', 'max-power', 'hold', 'warm-up' as const),
    dots: fc.array(dot, { maxLength: 40 }),
    probe: text,
  })
  .map(({ latest, kind, dots, probe, ...rest }) => {
    const sorted = dots.toSorted((a, b) => a.at_s - b.at_s);
    const now = { ...viewOf().now!, probes: [{ name: probe, unit: probe, value: 1 }] };
    return viewOf({
      ...rest,
      now,
      latest: latest.map((reading) => latestOf(reading.channel, reading)),
      curve: curveOf(kind, { dots: sorted }),
    });
  });

test('no view, however hostile its words and however odd its figures, outgrows the terminal or acts on it', () => {
  const rooms = fc.record({ width: fc.integer({ min: 1, max: 200 }), rows: fc.integer({ min: 1, max: 70 }) });
  fc.assert(
    fc.property(views, rooms, (view, room) => {
      const lines = runPicture(view, room);
      expect(lines.length).toBeGreaterThan(0);
      expect(lines.length).toBeLessThanOrEqual(room.rows);
      for (const { text } of lines) {
        expect(columnsOf(text)).toBeLessThanOrEqual(room.width);
        expect(text).not.toMatch(/\p{Cc}|[\u202a-\u202e\u2066-\u2069]/u);
      }
    }),
    { seed: SEED, numRuns: 300 },
  );
});

test('every channel has a row with the figures of its last reading, and the flags behind them', () => {
  const flags: readonly FlagCode[] = ['not-settled', 'near-input-rail'];
  const latest = [1, 2, 3, 4, 5, 6, 7, 8].map((channel) => latestOf(channel, channel === 3 ? { flags } : {}));
  const lines = picture(viewOf({ latest }));
  for (const { channel, power_W, voltage_V, thdn_percent } of latest) {
    const figures = [
      formatQuantity(power_W, 'W'),
      formatQuantity(voltage_V, 'V'),
      formatQuantity(thdn_percent, '%'),
    ];
    const row = lines.find((line) => line.trimStart().startsWith(`${channel} `) && line.includes(' V '))!;
    expect(row.trim().split(/ {2,}/).slice(1, 4)).toEqual(figures);
    expect(row.endsWith('not-settled, near-input-rail')).toBe(channel === 3);
  }
  expect(lines.some((line) => line.startsWith('THD+N against power'))).toBe(true);
});

test('the head says where in the plan the run is, what plays and what is left', () => {
  const lines = picture(viewOf());
  expect(lines[0]).toMatch(/^Run 7: Invented pair +Invented bench \(simulated\)$/);
  expect(lines[1]).toMatch(/^step 2 of 3, 4 points, Rated power +25 % done, 1 min 23 s left$/);
  expect(lines[2]).toBe('='.repeat(20) + '-'.repeat(60));
  expect(lines[3]).toBe('first: climb at 997 Hz from 50.0 mW, mark 0.1 % and 1 %');
  expect(lines[4]).toBe('997 Hz at -12.3 dB of full scale, 8 ohm, channels 1 and 2 driven');
});

test('before anything was played there are the trips and no curve', () => {
  const lines = picture(viewOf({ now: null, curve: null, latest: [], points: 0, events: [] }));
  expect(lines[1]).toMatch(/begins$/);
  expect(lines.join('\n')).toContain(
    'Ends at once on: More than 2.00 V of DC at a load. More than 13 min of time.',
  );
  expect(lines.join('\n')).not.toContain('THD+N');
});

test('trips that do not fit are counted', () => {
  const armed = Array.from(
    { length: 20 },
    (_, i) => `Trip number ${i} of a list that no terminal has room for.`,
  );
  const said = picture(viewOf({ armed })).join(' ').replace(/\s+/g, ' ');
  const shown = said.match(/Trip number/g)!.length;
  expect(said).toContain(`nd ${20 - shown} more`);
});

test('a climb has its thresholds as dotted rows and the claim as a column at its power', () => {
  const lines = picture(viewOf());
  expect(lines).toContain('THD+N against power; colons: claim 100 W');
  const marked = (name: string) => lines.filter((line) => line.startsWith(`${name.padStart(10)} |...`));
  expect(marked('1 %')).toHaveLength(1);
  expect(marked('0.1 %')).toHaveLength(1);
  // 0.1 W to 100 W on 68 columns: the claim ends the axis, 10 W stands at two thirds of 67.
  const across = lines.filter((line) => /^ *(\d.*%)? \|/.test(line) && line.includes(':'));
  expect(new Set(across.map((line) => line.indexOf(':')))).toEqual(new Set([12 + 67]));
  const apart = lines.find((line) => line.includes('|') && line.includes('1') && line.indexOf('1', 12) > 12)!;
  expect(apart.indexOf('1', 12)).toBe(12 + 45);
});

test('of the captures of a ceiling only the most power that kept the threshold is drawn', () => {
  const at = (power_W: number, thdn_percent: number) => ({
    channel: 1,
    frequency_Hz: 1000,
    power_W,
    thdn_percent,
    at_s: 0,
  });
  const curve = curveOf('max-power', {
    thresholds_percent: [0.1],
    dots: [at(10, 0.01), at(40, 0.09), at(80, 0.5)],
  });
  const lines = picture(viewOf({ curve, claim_W: null }));
  const title = lines.findIndex((line) => line.startsWith('Highest power that kept the limit'));
  const dots = lines.slice(title + 1).flatMap((line) => (/^.{10} \|.*1/.test(line) ? [line] : []));
  expect(dots).toHaveLength(1);
  expect(dots[0]).toMatch(/^ {6}40 W \| {37,39}1$/);
});

test('a hold is drawn over its time, in minutes when it lasts', () => {
  const dots = Array.from({ length: 61 }, (_, i) => ({
    channel: 1,
    frequency_Hz: 1000,
    power_W: 100 - i / 10,
    thdn_percent: 0.01,
    at_s: 500 + 10 * i,
  }));
  const lines = picture(viewOf({ curve: curveOf('hold', { dots }) }), 100, 40);
  expect(lines).toContain('Power against time; colons: claim 100 W');
  expect(lines.some((line) => /0 s +2 min +4 min +6 min +8 min +10 min/.test(line))).toBe(true);
});

test('a small terminal has one line with the least watts and the most THD+N', () => {
  expect(picture(viewOf(), 80, 9)).toEqual(['25 %, 1 min 23 s left  10.5 W  0.022 %  first']);
  expect(picture(viewOf(), 39, 23)).toEqual(['25 %, 1 min 23 s left  10.5 W  0.022 %…']);
});
