import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import type { BenchKind } from '../../src/bench/bench-kind.js';
import { BENCH_KINDS, type BenchKinds, interfaceSchema, kindOf, storedKind } from '../../src/bench/kinds.js';

/** A kind that answers all there is to answer. */
const INVENTED = {
  schema: z.strictObject({ kind: z.literal('command'), rate: z.number(), clock: z.number().optional() }),
  words: 'an invented device',
  computed: false,
  practice: () => false,
  energises: () => true,
  clock: () => 'world',
  read: () => null,
  checkFiles: () => {},
  checkDevices: async () => {},
  hardware: () => [],
  make: async () => {
    throw new Error('nothing to open');
  },
} as const satisfies BenchKind<'command'>;

/* What follows is looked at by the type checker: an expected error that is missing is an error. */
type Answer = keyof typeof INVENTED;
type Lacking<Left extends Answer> = Omit<typeof INVENTED, Left>;
const without = <Left extends Answer>(_left: Left) => INVENTED as Lacking<Left>;

describe('the compiler refuses', () => {
  it('a kind that leaves any question open', () => {
    // @ts-expect-error no schema
    const schema: BenchKind<'command'> = without('schema');
    // @ts-expect-error no words
    const words: BenchKind<'command'> = without('words');
    // @ts-expect-error not said whether a real unit is measured
    const computed: BenchKind<'command'> = without('computed');
    // @ts-expect-error not said whether it energises
    const energises: BenchKind<'command'> = without('energises');
    // @ts-expect-error not said whether it only stands in for a real one
    const practice: BenchKind<'command'> = without('practice');
    // @ts-expect-error not said which clock it has
    const clock: BenchKind<'command'> = without('clock');
    // @ts-expect-error not said how its keys are read
    const read: BenchKind<'command'> = without('read');
    // @ts-expect-error not said which files it needs
    const checkFiles: BenchKind<'command'> = without('checkFiles');
    // @ts-expect-error not said which devices it needs
    const checkDevices: BenchKind<'command'> = without('checkDevices');
    // @ts-expect-error not said what only one run may hold
    const hardware: BenchKind<'command'> = without('hardware');
    // @ts-expect-error not said how it is made
    const make: BenchKind<'command'> = without('make');
    const refused = {
      schema,
      words,
      computed,
      energises,
      practice,
      clock,
      read,
      checkFiles,
      checkDevices,
      hardware,
      make,
    };
    // Nothing is asked of a kind that this test leaves out.
    expect(Object.keys(refused).sort()).toEqual(Object.keys(INVENTED).sort());
  });

  it('a table that lacks a kind, and one with a kind that no bench file can name', () => {
    const { simulated, audio, command } = BENCH_KINDS;
    // @ts-expect-error no command
    const lacking: BenchKinds = { simulated, audio };
    // @ts-expect-error the type of interfaces has no such kind
    const more: BenchKinds = { simulated, audio, command, invented: INVENTED };
    expect(Object.keys(more)).toHaveLength(Object.keys(lacking).length + 2);
  });
});

describe('every kind', () => {
  it.each(Object.keys(BENCH_KINDS) as (keyof typeof BENCH_KINDS)[])('%s answers every question', (name) => {
    expect(Object.keys(BENCH_KINDS[name]).sort()).toEqual(Object.keys(INVENTED).sort());
    expect(kindOf(name).words).not.toBe('');
    expect(storedKind(name)).toBe(name);
  });

  it('has a place in the bench file under its own name', () => {
    const named = interfaceSchema.options.map(({ shape }) => shape.kind.value);
    expect(named).toEqual(Object.keys(BENCH_KINDS));
  });

  it('energises, unless it is computed or a program that says it drives nothing', () => {
    const common = { rate: 48_000 as never };
    const program = { ...common, kind: 'command' as const, argv: ['p'] };
    expect(kindOf('audio').energises({ ...common, kind: 'audio', play: 'p', capture: 'c' })).toBe(true);
    expect(kindOf('command').energises({ ...program, hardware: 'yes' })).toBe(true);
    expect(kindOf('command').energises(program)).toBe(false);
    expect(kindOf('simulated').energises({ ...common, kind: 'simulated', twin: 't' })).toBe(false);
  });

  it('knows no name that it has only inherited', () => {
    for (const name of ['toString', '__proto__', 'invented', '']) expect(storedKind(name)).toBeNull();
  });
});
