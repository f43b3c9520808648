import { statSync } from 'node:fs';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';
import project from '../../vitest.config.js';

/** One test that fails is enough: those of the room come first, and of them the short ones. Vitest begins with the long ones. */
class ShortFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const weight = ({ moduleId }: TestSpecification) =>
      (moduleId.includes('/test/reference/') ? 1e9 : 0) + statSync(moduleId).size;
    return [...files].sort((a, b) => weight(a) - weight(b));
  }
}

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
    sequence: { sequencer: ShortFirst },
  },
});
