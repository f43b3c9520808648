import { defineConfig } from 'vitest/config';
import project from '../../vitest.config.js';

/**
 * The tests that a mutant meets: those of its room (`OHMEST_MUTANTS_ROOM`) and `test/reference`, as far as they are of
 * the group core. Those of the group long would take minutes a mutant.
 */
const core = project.test?.projects?.find(
  (one) => typeof one === 'object' && 'test' in one && one.test?.name === 'core',
);
if (typeof core !== 'object' || !('test' in core))
  throw new Error('vitest.config.ts has no project named core');
const room = process.env.OHMEST_MUTANTS_ROOM;

export default defineConfig({
  test: {
    ...core.test,
    include: [`test/${room}/**/*.test.ts`, 'test/reference/**/*.test.ts'],
  },
});
