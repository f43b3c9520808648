import { defineConfig } from 'vitest/config';

/**
 * Four groups of tests, told apart by what they need:
 * core (Node and npm only, `npm test`), peers (scipy, sox, ngspice), audio (a private
 * PulseAudio), browser (Chromium). `.ci/run` installs what is needed and runs all four.
 */
/** Hooks record runs to look at, and take as long as the machine lets them; the limit is there for what hangs. */
const hookTimeout = 120_000;

const needsMore = ['test/peers/**', 'test/audio/**', 'test/browser/**'];

export default defineConfig({
  test: {
    // By default one core is left idle; the tests wait for child processes most of the time.
    maxWorkers: '100%',
    projects: [
      {
        test: {
          name: 'core',
          include: ['test/**/*.test.ts'],
          exclude: needsMore,
          testTimeout: 60_000,
          hookTimeout,
        },
      },
      { test: { name: 'peers', include: ['test/peers/**/*.test.ts'], testTimeout: 120_000, hookTimeout } },
      {
        test: {
          name: 'audio',
          include: ['test/audio/**/*.test.ts'],
          testTimeout: 180_000,
          hookTimeout,
          fileParallelism: false,
        },
      },
      {
        test: { name: 'browser', include: ['test/browser/**/*.test.ts'], testTimeout: 120_000, hookTimeout },
      },
    ],
  },
});
