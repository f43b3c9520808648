import { defineConfig } from 'vitest/config';

/**
 * Groups of tests, told apart by what they need: core (Node and npm only, a few minutes, `npm test`), long (the same, but
 * they play long runs, kill programs or walk through the documents), peers (scipy, sox, ngspice), audio (a private
 * PulseAudio), browser (Chromium). `.ci/run` installs what is needed and runs all of them.
 */

/** A file that takes more than seven seconds on two cores, beside others, belongs here. */
const long = [
  'test/bench/command/command-bench.test.ts',
  'test/bench/command/stream-bench.test.ts',
  'test/bench/mutated-files.test.ts',
  'test/bench/simulated/idle-channel.test.ts',
  'test/calibration/example-records.test.ts',
  'test/calibrator/coverage.test.ts',
  'test/cli/calibrate/calibrate.test.ts',
  'test/cli/first-lines.test.ts',
  'test/cli/hostile-names.test.ts',
  'test/cli/kill.test.ts',
  'test/cli/long-run.test.ts',
  'test/cli/look/analyse.test.ts',
  'test/cli/look/bench.test.ts',
  'test/cli/look/compare.test.ts',
  'test/cli/look/remeasure.test.ts',
  'test/cli/run-checklist.test.ts',
  'test/cli/run-endings.test.ts',
  'test/cli/run-refusals.test.ts',
  'test/cli/run/demo.test.ts',
  'test/cli/run/lines-before-tone.test.ts',
  'test/cli/run/live-page.test.ts',
  'test/cli/run/permit.test.ts',
  'test/cli/run/plan.test.ts',
  'test/cli/run/resume.test.ts',
  'test/cli/run/run.test.ts',
  'test/cli/share/bundle.test.ts',
  'test/cli/stored-runs.test.ts',
  'test/cli/usage.test.ts',
  'test/cli/verdicts.test.ts',
  'test/docs/guide.test.ts',
  'test/docs/pages.test.ts',
  'test/faults/campaign.test.ts',
  'test/fuzz/readers.test.ts',
  'test/judgement/conclude/no-contradiction.test.ts',
  'test/measure/cause/confusion.test.ts',
  'test/reference/knee-of-twins.test.ts',
  'test/reference/twin-supply.test.ts',
  'test/runner/capture/remeasure.test.ts',
  'test/runner/causes/diagnose*.test.ts',
  'test/runner/course/plan-progress.test.ts',
  'test/runner/course/run-plan.test.ts',
  'test/runner/guard/load-memory.test.ts',
  'test/runner/guard/wiring-check.test.ts',
  'test/runner/resume.test.ts',
  'test/steps/hold/play.test.ts',
  'test/steps/max-power/*.test.ts',
  'test/steps/registry.test.ts',
  'test/store/kill.test.ts',
  'test/store/spoilt.test.ts',
];
const needsMore = ['test/peers/**', 'test/audio/**', 'test/browser/**'];

/** Hooks record runs to look at, and take as long as the machine lets them; the limit is there for what hangs. */
const hookTimeout = 120_000;
/**
 * Files share a worker and its loaded modules: loading them anew for each file took a third of the time. So a file of tests
 * leaves nothing behind in a module or in the process.
 */
const group = (name: string, include: readonly string[], minutes: number, more: object = {}) => ({
  test: { name, include: [...include], testTimeout: minutes * 60_000, hookTimeout, isolate: false, ...more },
});

export default defineConfig({
  test: {
    // By default one core is left idle; the tests wait for child processes most of the time.
    maxWorkers: '100%',
    projects: [
      group('core', ['test/**/*.test.ts'], 1, { exclude: [...needsMore, ...long] }),
      group('long', long, 5),
      group('peers', ['test/peers/**/*.test.ts'], 2),
      group('audio', ['test/audio/**/*.test.ts'], 3, {
        fileParallelism: false,
        setupFiles: ['test/audio/first-in-line.ts'],
      }),
      // A page may take its time on a machine that is busy: what is waited for is a condition, and this is for what hangs.
      group('browser', ['test/browser/**/*.test.ts'], 2, { expect: { poll: { timeout: 60_000 } } }),
    ],
  },
});
