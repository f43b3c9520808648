import { afterEach, describe, expect, it, vi } from 'vitest';
import { LiveView } from '../../../src/cli/terminal/live-view.js';
import type { Point, Reading } from '../../../src/record/run-record.js';
import { formatQuantity } from '../../../src/units/format.js';
import type { RunAbout } from '../../../src/view/run-view.js';
import { RunWatch } from '../../../src/view/run-watch.js';
import { viewOf } from '../../view/terminal/view-fixture.js';
import { Screen } from '../screen.js';

const live: LiveView[] = [];

afterEach(() => {
  for (const view of live.splice(0)) view.end();
  vi.useRealTimers();
});

/** A run that is being played, and the terminal on which it is watched. */
function watched(columns = 80, rows = 24, unit = 'Invented pair') {
  const screen = new Screen(columns, rows);
  const terminal = {
    out: () => undefined,
    err: (text: string) => void screen.write(`${text}\n`),
    live: true,
    width: columns,
    talkWidth: columns,
    colour: true,
  };
  screen.write('$ before\n');
  const view = new LiveView(terminal, screen as unknown as NodeJS.WriteStream);
  live.push(view);
  const watch = new RunWatch(aboutOf(unit));
  view.begin(watch);
  watch.take({
    kind: 'step-entered',
    step: 'first',
    step_kind: 'climb',
    entry: 'first',
    at_s: 0,
  });
  return { screen, view, watch };
}

function play(watch: RunWatch, number: number, channels = [1, 2]): void {
  const point = { number, step: 'first', stepKind: 'climb', load_ohm: 8, driven: channels, at_s: number };
  const readings = channels.map((channel) => ({
    channel,
    power_W: number + channel / 10,
    voltage_V: number,
    thdn_percent: 0.01 * channel,
    frequency_Hz: 997,
    flags: [],
  }));
  watch.take({
    kind: 'point',
    point: point as unknown as Point,
    readings: readings as unknown as Reading[],
    capture: { rate_Hz: 48_000, channels: [] },
    settlings: [],
  });
}

/** The view as it is told before the first tone. */
function aboutOf(unit: string): RunAbout {
  const view = viewOf({ unit });
  return { ...view, steps: view.steps.map((step) => ({ ...step, thresholds_percent: [0.1, 1] })) };
}

const titles = (lines: readonly string[]) => lines.filter((line) => line.startsWith('Run 7:'));

describe('the picture of a run on a terminal', () => {
  it.each([
    [80, 24],
    [120, 40],
  ])('of %i x %i shows the figures of the view, one picture only, no line broken', async (columns, rows) => {
    const { screen, watch } = watched(columns, rows);
    const channels = [1, 2, 3, 4, 5, 6, 7, 8];
    for (let number = 1; number <= 5; number++) {
      play(watch, number, channels);
      const shown = `${formatQuantity(number + 0.8, 'W')}`;
      await vi.waitFor(async () => expect((await screen.lines()).join('\n')).toContain(shown));
    }
    const lines = await screen.lines();
    for (const { channel, power_W, voltage_V, thdn_percent } of watch.view().latest) {
      const cells = lines
        .find((line) => line.trimStart().startsWith(`${channel}  `))!
        .trim()
        .split(/ {2,}/);
      expect(cells).toEqual([
        String(channel),
        formatQuantity(power_W, 'W'),
        formatQuantity(voltage_V, 'V'),
        formatQuantity(thdn_percent, '%'),
      ]);
    }
    expect(lines[0]).toBe('$ before');
    expect(titles(lines)).toHaveLength(1);
    expect(await screen.broken()).toBe(false);
  });

  it('is drawn at once and then at most five times a second, the last change always', () => {
    vi.useFakeTimers({ toFake: ['performance', 'setTimeout', 'clearTimeout'] });
    const { screen, watch } = watched();
    const before = screen.writes;
    for (let number = 1; number <= 1000; number++) play(watch, number);
    expect(screen.writes).toBe(before);
    vi.advanceTimersByTime(200);
    expect(screen.writes).toBe(before + 1);
    expect(screen.bytes).toContain('1.00 kW');
    vi.advanceTimersByTime(10_000);
    expect(screen.writes).toBe(before + 1);
  });

  it('leaves nothing behind but what was said, in whole words', async () => {
    const { screen, view, watch } = watched(60, 24);
    play(watch, 1);
    view.say(
      'a note that is much longer than any terminal of sixty columns could ever show in one single line',
    );
    expect((await screen.lines()).join(' ')).not.toContain('a note');
    view.end();
    screen.write('$ after\n');
    expect(await screen.lines()).toEqual([
      '$ before',
      'a note that is much longer than any terminal of sixty',
      '  columns could ever show in one single line',
      '$ after',
    ]);
  });

  it('gives way to a question and comes back below it', async () => {
    const { screen, view, watch } = watched();
    play(watch, 1);
    watch.asks('Move the taps?');
    screen.write('? Move the taps? (y/N) ');
    view.say('said meanwhile');
    play(watch, 2);
    expect(await screen.lines()).toEqual(['$ before', '? Move the taps? (y/N) said meanwhile']);
    screen.write('? Move the taps? Yes\n');
    watch.asks(null);
    const lines = await screen.lines();
    expect(lines[2]).toBe('? Move the taps? Yes');
    expect(lines[3]).toMatch(/^Run 7: Invented pair/);
    expect(lines.join('\n')).toContain('2.10 W');
    view.end();
    expect(await screen.lines()).toHaveLength(3);
  });

  it('stands once on a terminal that becomes narrower, wider, and too small', async () => {
    const { screen, watch, view } = watched(100, 30);
    play(watch, 1);
    for (const [columns, rows] of [
      [95, 30],
      [61, 30],
      [120, 40],
      [80, 24],
      [30, 24],
      [80, 24],
    ] as const) {
      await screen.resize(columns, rows);
      // What narrow lines push out at the top of the screen nobody can draw over: it is the terminal's.
      const lines = await screen.visible();
      expect(titles(lines)).toHaveLength(columns === 30 ? 0 : 1);
      const tails = lines.filter((line) => line.startsWith('Ends at once on:'));
      expect(tails).toHaveLength(columns === 30 ? 0 : 1);
    }
    view.end();
    expect((await screen.visible()).filter((line) => /Run 7|Ends at once|left/.test(line))).toEqual([]);
  });

  it('leaves nothing when a terminal with room for the broken lines becomes narrower', async () => {
    const { screen, view } = watched(100, 60);
    await screen.resize(70, 60);
    expect(titles(await screen.lines())).toHaveLength(1);
    view.end();
    expect(await screen.lines()).toEqual(['$ before']);
  });

  it('after it was stopped and goes on is drawn anew below what the shell has printed', async () => {
    const { screen, view } = watched();
    const pictured = await screen.lines();
    screen.write('[1]+ Stopped\n$ fg\n');
    process.emit('SIGCONT', 'SIGCONT');
    const lines = await screen.lines();
    expect(titles(lines)).toHaveLength(2);
    expect(lines).toContain('$ fg');
    view.end();
    expect(await screen.lines()).toEqual([...pictured, '[1]+ Stopped', '$ fg']);
  });

  it('is not broken by names of wide signs, joined signs and escapes', async () => {
    const wide = '\u65e5\u672c'.repeat(40);
    const joined = '\u{1f468}\u200d\u{1f469}\u200d\u{1f467}e\u0301'.repeat(20);
    for (const unit of [wide, joined, '\u001b[2J\u001b[31mred\r\nnext', '\u202etfel']) {
      const { screen, watch, view } = watched(80, 24, unit);
      play(watch, 1);
      await screen.resize(80, 25);
      const lines = await screen.lines();
      expect(titles(lines)).toHaveLength(1);
      expect(lines[0]).toBe('$ before');
      expect(await screen.broken()).toBe(false);
      view.end();
      expect(await screen.lines()).toEqual(['$ before']);
    }
  });

  it('leaves no mode of the terminal switched and no listener behind', async () => {
    const listeners = process.listenerCount('SIGCONT');
    const { screen, watch, view } = watched();
    play(watch, 1);
    await screen.lines();
    // Whatever ends the program here: the cursor is to be seen, and lines are broken again.
    expect(screen.wraps).toBe(true);
    expect(screen.bytes).not.toMatch(/\[\?(?:25|47|1047|1049)[hl]/);
    view.end();
    expect(process.listenerCount('SIGCONT')).toBe(listeners);
    expect(screen.listenerCount('resize')).toBe(0);
  });
});
