import { basename } from 'node:path';
import { z } from 'zod';
import { quantity } from '../../schema/fields.js';
import { quoted } from '../../units/parse.js';
import type { BenchKind } from '../bench-kind.js';
import type { BenchSetup } from '../bench-setup.js';
import type { Hardware } from '../hardware-lock.js';
import { clock, rate } from '../interface-fields.js';
import { programFolder } from '../program-consent.js';
import { programFiles } from '../program-files.js';

const TIMEOUT_s = 60;
/** Two blocks are on their way at a time, of at most 0.2 s together: one plays while the other comes. */
const LONGEST_BLOCK_s = 0.1;

const keys = z.strictObject({
  kind: z.literal('command'),
  rate,
  argv: z.array(z.string().min(1).max(4000)).min(1).max(200),
  blocks: quantity('s', { positive: true, max: LONGEST_BLOCK_s }).optional(),
  timeout: quantity('s', { positive: true, max: 3600 }).optional(),
  clock,
  hardware: z.enum(['yes', 'no', 'practice']).or(z.boolean()).optional(),
});

const schema = keys.superRefine(({ argv, blocks }, context) => {
  const named = (places: readonly string[]) =>
    places.filter((place) => argv.slice(1).some((part) => part.includes(place)));
  if (blocks === undefined && named(FILES).length < FILES.length)
    context.addIssue({
      code: 'custom',
      path: ['argv'],
      message:
        'the program is not told where its files are; put {stimulus} and {response} among its arguments, or let it stream with a key `blocks`',
    });
  if (blocks !== undefined && named(FILES).length > 0)
    context.addIssue({
      code: 'custom',
      path: ['argv'],
      message: 'a program that streams in `blocks` has no files; leave out {stimulus} and {response}',
    });
});

type Keys = z.output<typeof schema>;

const FILES = ['{stimulus}', '{response}'];

/** A practice bench is treated as one that drives hardware, but for who may answer. */
const drivesHardware = ({ hardware }: Keys): boolean =>
  hardware === 'yes' || hardware === true || hardware === 'practice';

/** A bench whose device is an external program. While that drives nothing real, time is virtual. */
export const COMMAND = {
  schema,
  words: 'external command',
  computed: false,
  energises: drivesHardware,
  practice: ({ hardware }) => hardware === 'practice',
  clock: (keys) => (drivesHardware(keys) ? 'world' : 'virtual'),
  read: (_, { argv, blocks, timeout = TIMEOUT_s }) => ({
    kind: 'command',
    argv,
    timeout_s: timeout,
    block_s: blocks ?? null,
  }),
  checkFiles: () => {},
  checkDevices: async () => {},
  hardware: (setup) =>
    setup.energises && setup.interface.kind === 'command' ? drivers(setup, setup.interface.argv) : [],
  make: async (setup) =>
    setup.interface.kind === 'command' && setup.interface.block_s !== null
      ? new (await import('./stream-bench.js')).StreamBench(setup)
      : new (await import('./command-bench.js')).CommandBench(setup),
} as const satisfies BenchKind<'command', Keys>;

/** Programs that drive nothing by themselves: the script that they are given does. */
const INTERPRETER =
  /^(bash|bun|cmd|dash|deno|env|java|julia|node|octave|perl|powershell|pwsh|python|ruby|sh|zsh)[\d.]*(\.exe)?$/i;

/** The files that drive the hardware, by their content: a copy drives the same. */
function drivers(setup: BenchSetup, argv: readonly string[]): Hardware[] {
  const [program, ...scripts] = programFiles(argv, programFolder(setup));
  const scripted = scripts.length > 0 && INTERPRETER.test(basename(argv[0] ?? ''));
  return (scripted ? scripts : [program!]).map(({ path, sha256 }) => ({
    words: `what the program ${quoted(path ?? argv[0] ?? '')} drives`,
    key: `program ${sha256 ?? argv[0]}`,
  }));
}
