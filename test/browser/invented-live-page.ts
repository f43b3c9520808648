import { fileURLToPath } from 'node:url';
import { isKnownFinding } from '../../src/record/findings-of.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { Arrivals } from '../../src/view/live/arrivals.js';
import { LiveFeed } from '../../src/view/live/live-feed.js';
import { liveRoutes } from '../../src/view/live/live-routes.js';
import { serveLocally } from '../../src/view/local-server.js';
import type { RunAbout } from '../../src/view/run-view.js';
import { RunWatch } from '../../src/view/run-watch.js';
import { invented } from '../document/fixture.js';
import { ABOUT } from '../view/invented-about.js';

const BUILT = fileURLToPath(new URL('../../dist/', import.meta.url));
const NEXT = { show: 'ohmest show 7', report: 'ohmest report 7 -o r.html', resume: 'ohmest resume 7' };
const STEPS: RunAbout['steps'] = [
  { id: 'climb-1k', words: 'climb at 1 kHz from 50.0 mW, mark 0.1 % and 1 %', thresholds_percent: [0.1, 1] },
  { id: 'band', words: 'sweep of 31 frequencies at 87.7 W', thresholds_percent: [] },
];

/** Serves the live page of an invented run as the program does. The run stands still but for what the test has it do. */
export async function inventedLivePage(about: Partial<RunAbout> = {}) {
  const [feed, arrivals] = [new LiveFeed(), new Arrivals(60_000)];
  const watch = new RunWatch({ ...ABOUT, steps: STEPS, claim_W: 85, ...about });
  feed.begin(watch, NEXT);
  let stops = 0;
  const stop = () => void stops++;
  const server = await serveLocally({
    routes: liveRoutes({ feed, arrivals, stop, built: BUILT }),
    onEntry: () => arrivals.entered(),
  });
  const end = () => {
    watch.take({ kind: 'ended', outcome: 'completed', reason: 'every step was done', at_s: 300 });
    feed.end();
  };
  const close = async () => {
    await arrivals.over();
    await server.close();
  };
  return {
    url: server.url,
    watch,
    ...playing(watch, invented()),
    stops: () => stops,
    end,
    close,
    cut: server.close,
  };
}

/** Plays the points of a record one after the other. */
function playing(watch: RunWatch, { points, readings, findings }: RunRecord) {
  let next = 0;
  const play = (count: number): void => {
    for (const point of points.slice(next, next + count)) {
      if (points[next - 1]?.step !== point.step)
        watch.take({
          kind: 'step-entered',
          step: point.step,
          step_kind: null,
          entry: 'first',
          at_s: point.at_s,
        });
      const own = readings.filter((reading) => reading.point === point.number);
      watch.take({
        kind: 'point',
        point,
        readings: own,
        capture: { rate_Hz: 48_000, channels: [] },
        settlings: [],
      });
      next++;
      const progress = {
        step: point.step,
        point: next,
        frequency_Hz: point.frequency_Hz,
        power_W: own.map(({ power_W }) => power_W),
        thdn_percent: own.map(({ thdn_percent }) => thdn_percent),
        level_dB: -12.34,
        done: next / points.length,
        left_s: points.length - next,
      };
      watch.take({ kind: 'progress', progress });
    }
  };
  const conclude = (): void => {
    for (const finding of findings.filter(isKnownFinding)) watch.take({ kind: 'finding', finding });
  };
  return { play, conclude };
}
