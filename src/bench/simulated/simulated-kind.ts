import { createHash } from 'node:crypto';
import { dirname, join, resolve } from 'node:path';
import { z } from 'zod';
import { label, whole } from '../../schema/fields.js';
import type { BenchKind } from '../bench-kind.js';
import type { BenchReading } from '../bench-reading.js';
import { clock, rate } from '../interface-fields.js';
import { PACKAGE_ROOT } from '../package-root.js';
import { twinOf } from './twin-of.js';

const SHIPPED_TWINS = join(PACKAGE_ROOT, 'benches', 'twins');

const schema = z.strictObject({
  kind: z.literal('simulated'),
  rate,
  twin: label(500),
  seed: whole(0, 2 ** 31 - 1).optional(),
  clock,
});

/** A bench that plays into a computed amplifier. */
export const SIMULATED = {
  schema,
  words: 'simulated: a computed amplifier, no real unit was measured',
  computed: true,
  energises: () => false,
  practice: () => false,
  clock: () => 'virtual',
  read(reading, { twin, seed = 1 }) {
    const twinPath = twinFile(reading, twin);
    return twinPath === null ? null : { kind: 'simulated', twinPath, seed, ...hashOf(reading, twinPath) };
  },
  checkFiles: (setup) => void twinOf(setup),
  checkDevices: async () => {},
  hardware: () => [],
  make: async (setup) => (await import('./open-simulated.js')).openSimulated(setup),
} as const satisfies BenchKind<'simulated', z.output<typeof schema>>;

/** Path of a twin: as named beside the bench file, in `twins` beside it, or among those that ship. */
function twinFile(reading: BenchReading, twin: string): string | null {
  const here = dirname(reading.path);
  const candidates = [
    resolve(here, twin),
    resolve(here, 'twins', `${twin}.yaml`),
    resolve(here, `${twin}.yaml`),
    join(SHIPPED_TWINS, `${twin}.yaml`),
  ].filter((candidate) => /\.ya?ml$/.test(candidate));
  const found = candidates.find((candidate) => reading.files.exists(candidate));
  if (found) return found;
  reading.complain(
    ['interface', 'twin'],
    `there is no twin '${twin}'`,
    `looked for ${candidates.join(', ')}`,
  );
  return null;
}

function hashOf({ files }: BenchReading, path: string): { readonly twinSha256?: string } {
  try {
    return { twinSha256: createHash('sha256').update(files.read(path)).digest('hex') };
  } catch {
    return {};
  }
}
