import { z } from 'zod';
import { AUDIO } from './audio/audio-kind.js';
import type { Bench } from './bench.js';
import type { BenchKind } from './bench-kind.js';
import type { BenchKindName, BenchSetup } from './bench-setup.js';
import { COMMAND } from './command/command-kind.js';
import { SIMULATED } from './simulated/simulated-kind.js';

/** A table with an answer for each kind: it does not compile while one is missing. */
export type BenchKinds = { readonly [Name in BenchKindName]: BenchKind<Name> };

/** Every kind of bench. The roof of this room: the wings below do not know each other. */
export const BENCH_KINDS = {
  simulated: SIMULATED,
  audio: AUDIO,
  command: COMMAND,
} as const satisfies BenchKinds;

type Kinds = typeof BENCH_KINDS;
export type InterfaceKeys = z.output<Kinds[keyof Kinds]['schema']>;

/** What stands under `interface` in a bench file. */
export const interfaceSchema = z.discriminatedUnion('kind', [SIMULATED.schema, AUDIO.schema, COMMAND.schema]);

/**
 * The kind of that name, to be asked with keys and setups of its own. It makes no bench: only a `HeldBench` may.
 */
export const kindOf = (
  name: BenchKindName,
): Omit<BenchKind<BenchKindName, InterfaceKeys>, 'schema' | 'make'> => BENCH_KINDS[name];

/** A bench of its kind, not opened yet. For `HeldBench`: who holds none may not play. */
export const makeBench = (setup: BenchSetup): Promise<Bench> => BENCH_KINDS[setup.kind].make(setup);

/** The kind that a stored run names; null when this version of the program does not know it. */
export const storedKind = (name: string): BenchKindName | null =>
  Object.hasOwn(BENCH_KINDS, name) ? (name as BenchKindName) : null;
