import { z } from 'zod';
import { quantity } from '../../schema/fields.js';
import type { BenchKind } from '../bench-kind.js';
import { clock, rate, yesOrNo } from '../interface-fields.js';

const TIMEOUT_s = 60;

const schema = z.strictObject({
  kind: z.literal('command'),
  rate,
  argv: z
    .array(z.string().min(1).max(4000))
    .min(1)
    .max(200)
    .refine(
      (argv) =>
        ['{stimulus}', '{response}'].every((place) => argv.slice(1).some((part) => part.includes(place))),
      'the program is not told where its files are; put {stimulus} and {response} among its arguments',
    ),
  timeout: quantity('s', { positive: true, max: 3600 }).optional(),
  clock,
  hardware: yesOrNo.optional(),
});

type Keys = z.output<typeof schema>;

const drivesHardware = ({ hardware }: Keys): boolean => hardware === 'yes' || hardware === true;

/** A bench whose device is an external program. While that drives nothing real, time is virtual. */
export const COMMAND = {
  schema,
  words: 'external command',
  computed: false,
  energises: drivesHardware,
  clock: (keys) => (drivesHardware(keys) ? 'world' : 'virtual'),
  read: (_, { argv, timeout = TIMEOUT_s }) => ({ kind: 'command', argv, timeout_s: timeout }),
  checkFiles: () => {},
  checkDevices: async () => {},
  make: async (setup) => new (await import('./command-bench.js')).CommandBench(setup),
} as const satisfies BenchKind<'command', Keys>;
